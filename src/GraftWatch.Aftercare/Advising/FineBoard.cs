using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Remembers, for each hazard, the checked union that came closest to its note level.</summary>
internal sealed class FineBoard
{
    private readonly SortedDictionary<Hazard, (double Margin, FineHazard Fine)> closest = [];

    /// <summary>Hazards that were checked and are fine.</summary>
    internal IReadOnlyList<FineHazard> All => [.. closest.Values.Select(entry => entry.Fine)];

    private readonly List<(GraftView View, HazardOutcome Outcome)> pending = [];

    /// <summary>Takes a union that is fine; it counts once it is kept.</summary>
    internal void Add(GraftView view, HazardOutcome outcome) => pending.Add((view, outcome));

    /// <summary>Lets what was taken count.</summary>
    internal void Keep()
    {
        pending.ForEach(entry => Weigh(entry.View, entry.Outcome));
        pending.Clear();
    }

    /// <summary>Forgets what was taken and not kept.</summary>
    internal void Drop() => pending.Clear();

    private void Weigh(GraftView view, HazardOutcome outcome)
    {
        if (double.IsNaN(outcome.WorstValue) || outcome.WorstHour < 0)
        {
            return;
        }

        double distance = outcome.Direction == LevelDirection.Falling
            ? outcome.WorstValue - outcome.Levels.Note
            : outcome.Levels.Note - outcome.WorstValue;
        double margin = distance / Math.Max(Math.Abs(outcome.Levels.Note), 1);
        if (!closest.TryGetValue(outcome.Hazard, out (double Margin, FineHazard Fine) known) || margin < known.Margin)
        {
            closest[outcome.Hazard] = (margin, new FineHazard(
                outcome.Hazard, outcome.Quantity, outcome.Unit, outcome.WorstValue, view.Graft.Label, view.Climate.EndOf(outcome.WorstHour)));
        }
    }
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using NodaTime;

namespace GraftWatch.Rounds.Replaying;

/// <summary>What a replayed season knows of its own earlier days: what was said, and what became of it.</summary>
internal sealed class SeasonMemory(SeasonWork work, Handbook handbook, IReadOnlyList<Observation> recorded)
{
    private readonly List<Observation> observations = [.. recorded];
    private readonly Dictionary<(WorkAction, Hazard?, string), SaidBefore> said = [];

    /// <summary>What was seen and done so far.</summary>
    internal IReadOnlyList<Observation> Observations => [.. observations];

    /// <summary>What was said so far.</summary>
    internal IReadOnlyList<SaidBefore> Said => [.. said.Values];

    /// <summary>Takes a morning's letter, and does its work where that is assumed.</summary>
    internal void Take(Round round, Instant now)
    {
        foreach (Advice advice in round.Advice)
        {
            bool done = work == SeasonWork.AsAdvised && advice.Level >= Level.Act && IsWork(advice.Action);
            foreach (string graft in advice.Grafts)
            {
                said[(advice.Action, advice.Hazard, graft)] = new SaidBefore(
                    advice.Action, advice.Hazard, graft, advice.OpenSince ?? round.Date, advice.Level, done ? SaidState.Done : SaidState.Open, AnsweredOn: done ? round.Date : null);
                if (done)
                {
                    observations.AddRange(Traces(advice, graft, now));
                }
            }
        }
    }

    private static bool IsWork(WorkAction action) => action is not (WorkAction.Know or WorkAction.Wait);

    // The cover comes first: a cover that is put on is closed, and the line may vent it.
    private IEnumerable<Observation> Traces(Advice advice, string graft, Instant now)
    {
        if (CoverPutOn(advice) is { } cover)
        {
            yield return new Observation(graft, now, ObservationKind.CoverOn, Words: cover);
        }

        if (TraceOf(advice.Action) is { } kind)
        {
            yield return new Observation(graft, now, kind);
        }

        if (advice.Action != WorkAction.Reseal && advice.Hazard is not null && BringsFor(WorkAction.Reseal, advice))
        {
            yield return new Observation(graft, now, ObservationKind.Resealed);
        }
    }

    // Work on the film slits or renews it: neither cover, tie nor seal is another afterwards.
    private static ObservationKind? TraceOf(WorkAction action) => action switch
    {
        WorkAction.Vent => ObservationKind.CoverVented,
        WorkAction.CloseCover => ObservationKind.CoverClosed,
        WorkAction.CoverOff => ObservationKind.CoverOff,
        WorkAction.SlitTie or WorkAction.TieOff => ObservationKind.TieOff,
        WorkAction.Stake => ObservationKind.Staked,
        WorkAction.TieIn => ObservationKind.TiedIn,
        WorkAction.RubOff => ObservationKind.StockShootsOff,
        WorkAction.HeadBack => ObservationKind.HeadedBack,
        WorkAction.Reseal => ObservationKind.Resealed,
        WorkAction.Water => ObservationKind.Watered,
        WorkAction.Relieve => ObservationKind.Relieved,
        _ => null,
    };

    // A line against a hazard brings the cover that stays on, by its name and perhaps a number before it; of two, the second lies outside. A cover against frost is there for the night only.
    private string? CoverPutOn(Advice advice)
    {
        if (advice.Hazard is null || advice.Action is WorkAction.FrostCover or WorkAction.FrostCoverOff)
        {
            return null;
        }

        return advice.Materials
            .Select(thing => handbook.Covers.Values.FirstOrDefault(cover =>
                cover.Layers.Count > 0 && cover.FrostGainK <= 0 && (thing == cover.Name || thing.EndsWith("× " + cover.Name, StringComparison.Ordinal))))
            .LastOrDefault(cover => cover is not null)?.Key;
    }

    private bool BringsFor(WorkAction action, Advice advice) =>
        handbook.Work.TryGetValue(action.Key(), out WorkNeed? need) && need.Bring.Count > 0 && need.Bring.All(advice.Materials.Contains);
}

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
                if (done && Trace(advice, graft, now) is { } trace)
                {
                    observations.Add(trace);
                }
            }
        }
    }

    private static bool IsWork(WorkAction action) => action is not (WorkAction.Know or WorkAction.Wait);

    private Observation? Trace(Advice advice, string graft, Instant now)
    {
        (ObservationKind Kind, string? Word)? trace = advice.Action switch
        {
            WorkAction.Shade => (ObservationKind.CoverOn, CoverNamedIn(advice)),
            WorkAction.Vent => (ObservationKind.CoverVented, null),
            WorkAction.CloseCover => (ObservationKind.CoverClosed, null),
            WorkAction.CoverOff or WorkAction.FilmOff => (ObservationKind.CoverOff, null),
            WorkAction.SlitTie or WorkAction.TieOff => (ObservationKind.TieOff, null),
            WorkAction.Stake => (ObservationKind.Staked, null),
            WorkAction.TieIn => (ObservationKind.TiedIn, null),
            WorkAction.RubOff => (ObservationKind.StockShootsOff, null),
            WorkAction.HeadBack => (ObservationKind.HeadedBack, null),
            WorkAction.Reseal => (ObservationKind.Resealed, null),
            WorkAction.Water => (ObservationKind.Watered, null),
            WorkAction.Relieve => (ObservationKind.Relieved, null),
            _ => null,
        };
        return trace is { } found && (found.Kind != ObservationKind.CoverOn || found.Word is not null)
            ? new Observation(graft, now, found.Kind, Words: found.Word)
            : null;
    }

    // A line names its cover in words; the longest name wins, because "foil sleeve" is also part of "old foil sleeve".
    private string? CoverNamedIn(Advice advice)
    {
        string words = string.Join(' ', advice.Materials);
        return handbook.Covers.Values
            .Where(cover => cover.Layers.Count > 0 && words.Contains(cover.Name, StringComparison.OrdinalIgnoreCase))
            .MaxBy(cover => cover.Name.Length)?.Key;
    }
}

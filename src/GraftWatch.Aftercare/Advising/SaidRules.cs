using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>What was said before is respected: done and not needed stay silent, put off waits, open does not shout twice.</summary>
internal sealed class SaidRules
{
    private readonly LocalDate today;
    private readonly ThresholdSet thresholds;
    private readonly Dictionary<(string, WorkAction, Hazard?), SaidBefore> last = [];

    private readonly Dictionary<(string, WorkAction), SaidBefore> answeredWork = [];

    /// <summary>Takes the ledger.</summary>
    internal SaidRules(IReadOnlyList<SaidBefore> said, LocalDate today, ThresholdSet thresholds)
    {
        this.today = today;
        this.thresholds = thresholds;
        foreach (SaidBefore entry in said)
        {
            (string, WorkAction, Hazard?) key = (entry.Graft, entry.Action, entry.Hazard);
            if (!last.TryGetValue(key, out SaidBefore? known) || Day(entry) >= Day(known))
            {
                last[key] = entry;
            }

            // The same work against another hazard is still the same work.
            if (entry.Hazard is not null && entry.State != SaidState.Open)
            {
                answeredWork[(entry.Graft, entry.Action)] = entry;
            }
        }
    }

    /// <summary>Day on which the grower answered dated work with done or not needed; null when never.</summary>
    internal LocalDate? Answered(string graft, WorkAction action) =>
        last.TryGetValue((graft, action, null), out SaidBefore? entry) && entry.State is SaidState.Done or SaidState.NotNeeded
            ? Day(last[(graft, action, null)])
            : null;

    /// <summary>Whether dated work was said in the last letter and has not been answered.</summary>
    internal bool IsOpen(string graft, WorkAction action) =>
        last.TryGetValue((graft, action, null), out SaidBefore? entry) && entry.State == SaidState.Open && entry.LastLevel > Level.None;

    /// <summary>The item as it may be said today; null when it may not.</summary>
    internal WorkItem? Apply(WorkItem item)
    {
        if (!last.TryGetValue((item.View.Graft.Label, item.Action, item.Hazard), out SaidBefore? before)
            && !(item.Hazard is not null && answeredWork.TryGetValue((item.View.Graft.Label, item.Action), out before)))
        {
            return item;
        }

        bool worse = item.Level > before.LastLevel;
        switch (before.State)
        {
            case SaidState.Done or SaidState.NotNeeded when item.Hazard is not null:
                return worse || Day(before) < today.PlusDays(-(int)Repeat(item)) ? item : null;
            case SaidState.PutOff:
                return before.Until > today && !(worse && item.Level == Level.Urgent) ? null : item with { OpenSince = before.FirstSaid };
            case SaidState.Open when before.FirstSaid < today:
                return Open(item, before, worse);
            default:
                return item;
        }
    }

    private static WorkItem Open(WorkItem item, SaidBefore before, bool worse)
    {
        WorkItem open = item with { OpenSince = before.FirstSaid };
        if (worse || item.Hazard is null)
        {
            return open;
        }

        // Where nothing can be done it is said once at its level, then for knowledge; what can be done is said on, not shouted.
        Level lowered = item.Choice is { Remedy: null } ? Level.Note : item.Level == Level.Urgent ? Level.Act : item.Level;
        return lowered == item.Level ? open : open with { Level = lowered, Reached = item.Level };
    }

    private double Repeat(WorkItem item) => thresholds.Number("advice.repeat_after", item.View.Subject);

    private static LocalDate Day(SaidBefore entry) => entry.AnsweredOn ?? entry.Until ?? entry.FirstSaid;
}

using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>What was said before is respected: done and not needed stay silent, put off waits, open does not shout twice.</summary>
internal sealed class SaidRules
{
    private readonly LocalDate today;
    private readonly ThresholdSet thresholds;
    private readonly Dictionary<(string, WorkAction, Hazard?), SaidBefore> last = [];

    private readonly Dictionary<(string, WorkAction), SaidBefore> sharedWork = [];
    private readonly ILookup<(string Graft, Hazard? Hazard), SaidBefore> against;

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

            // Work done or put off for one hazard is so for the next, but for looks; "not needed" speaks of the hazards its line named, and of no others.
            if (entry.Hazard is not null && entry.Action != WorkAction.Look && entry.State is SaidState.Done or SaidState.PutOff
                && (!sharedWork.TryGetValue((entry.Graft, entry.Action), out SaidBefore? other) || Day(entry) >= Day(other)))
            {
                sharedWork[(entry.Graft, entry.Action)] = entry;
            }
        }

        against = last.Values.ToLookup(entry => (entry.Graft, entry.Hazard));
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
        if (item.TooLate)
        {
            IEnumerable<SaidBefore> told = against[(item.View.Graft.Label, item.Hazard)];
            if (told.Any(entry => Settles(entry, item)))
            {
                return null;
            }

            if (told.Any(IsCoverAskedFor))
            {
                item = item with { CoverWasAskedFor = true, Kind = item.Kind + HazardWork.AskedKind };
            }
        }

        if (!last.TryGetValue((item.View.Graft.Label, item.Action, item.Hazard), out SaidBefore? before)
            && !(item.Hazard is not null && sharedWork.TryGetValue((item.View.Graft.Label, item.Action), out before)))
        {
            return item;
        }

        bool worse = item.Level > before.LastLevel;
        switch (before.State)
        {
            case SaidState.Done or SaidState.NotNeeded when item.Hazard is not null:
                return worse || !StillHolds(item, before) ? item : null;
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
        Level lowered = item.TooLate || item.Choice is { Remedy: null } ? Level.Note : item.Level == Level.Urgent ? Level.Act : item.Level;
        return lowered == item.Level ? open : open with { Level = lowered, Reached = item.Level };
    }

    // Who was asked to cover and has not answered may have covered.
    private static bool IsCoverAskedFor(SaidBefore entry) =>
        entry is { Hazard: Hazard.Frost, State: SaidState.Open, LastLevel: >= Level.Act, Action: WorkAction.FrostCover or WorkAction.CloseCover };

    // Who covered last evening, or said that it need not be, is not told in the night that it is too late.
    private bool Settles(SaidBefore entry, WorkItem item) =>
        entry.State is SaidState.Done or SaidState.NotNeeded
        && (entry.State == SaidState.NotNeeded || entry.Action != WorkAction.Know) && StillHolds(item, entry);

    // A cover for the night lasts one night; other work lasts some days before a new spell is news.
    private bool StillHolds(WorkItem item, SaidBefore before)
    {
        LocalDate answered = Day(before);
        bool nightly = item.Hazard == Hazard.Frost && (item.TooLate || item.Action is WorkAction.FrostCover or WorkAction.CloseCover);
        return nightly ? NightOf(item) <= answered : answered >= today.PlusDays(-(int)Repeat(item));
    }

    // The latest night whose evening has come, else the first one ahead; a night bears the date of its evening.
    private LocalDate NightOf(WorkItem item)
    {
        PlaceClimate climate = item.View.Climate;
        LocalDate[] nights =
        [
            .. item.OtherHours.Append(item.Spell!.Value.PeakHour)
                .Select(hour => (climate.StartOf(hour) - Duration.FromHours(12)).InZone(climate.Place.Zone).Date),
        ];
        return Array.Exists(nights, night => night <= today) ? nights.Where(night => night <= today).Max() : nights.Min();
    }

    private double Repeat(WorkItem item) => thresholds.Number("advice.repeat_after", item.View.Subject);

    private static LocalDate Day(SaidBefore entry) => entry.AnsweredOn ?? entry.Until ?? entry.FirstSaid;
}

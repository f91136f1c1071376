using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Remedies;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Joins what several hazards ask of one graft: one piece of work is said once, with everything it is for.</summary>
internal sealed class SharedWork
{
    private readonly HazardDesk desk;
    private readonly RemedyChooser chooser;

    /// <summary>Takes the desk and the chooser that judge.</summary>
    internal SharedWork(HazardDesk desk, RemedyChooser chooser)
    {
        this.desk = desk;
        this.chooser = chooser;
    }

    /// <summary>The work of one graft with every piece named once.</summary>
    /// <param name="items">Work of one graft, as it may be said today.</param>
    internal IReadOnlyList<WorkItem> Join(IReadOnlyList<WorkItem> items)
    {
        List<WorkItem> open = [.. items.Where(IsRemedied).OrderByDescending(item => item.Actions.Count()).ThenByDescending(item => item.Level)];
        var joined = new List<WorkItem>();
        while (open.Count > 0)
        {
            WorkItem head = open[0];
            WorkItem[] others = [.. open.Skip(1).Where(other => other.Actions.All(action => head.Actions.Contains(action)))];
            joined.Add(others.Length == 0 ? head : With(head, others));
            open.RemoveAll(item => ReferenceEquals(item, head) || Array.Exists(others, other => ReferenceEquals(other, item)));
        }

        joined.AddRange(items.Where(item => !IsRemedied(item)));
        bool covered = joined.Exists(item => item.Actions.Any(action => action is WorkAction.Shade or WorkAction.Vent));
        return
        [
            .. joined.Where(item => !(covered && item.Action == WorkAction.CoverOff))
                .Select(item => IsHelped(item, joined) ? item with { Choice = null } : item),
        ];
    }

    private WorkItem With(WorkItem head, WorkItem[] others)
    {
        RemedyChoice choice = head.Choice!;
        bool enough = Array.TrueForAll(others, other => Under(choice.Remedy!, other).Clears);
        if (!enough)
        {
            // The means one of the others asks for may clear them all.
            choice = others.Select(other => other.Choice!.Remedy!)
                .Where(remedy => Under(remedy, head).Clears && Array.TrueForAll(others, other => Under(remedy, other).Clears))
                .Select(remedy => Under(remedy, head) with { Refused = choice.Refused })
                .FirstOrDefault() ?? choice;
        }

        Remedy used = choice.Remedy!;
        WorkItem[] all = [head, .. others];
        Level level = all.Max(item => item.Level);
        Level reached = all.Max(item => item.Reached ?? item.Level);
        return head with
        {
            Action = used.Action,
            Kind = used.Kind,
            Choice = choice,
            Level = level,
            Reached = reached > level ? reached : null,
            DoBy = all.Min(item => item.DoBy),
            AlsoFor = [.. others.Select(other => other with { Choice = Under(used, other) })],
        };
    }

    private RemedyChoice Under(Remedy remedy, WorkItem item)
    {
        int limit = item.View.Climate.FirstAhead + (int)desk.Thresholds.Number("advice.act_within", item.View.Subject);
        return chooser.Under(remedy, item.Union!, item.Outcome!, new HourRange(item.HelpedFrom, limit));
    }

    private static bool IsRemedied(WorkItem item) => item is { Choice.Remedy: not null, Outcome: not null, Union: not null, Level: >= Level.Act };

    // "No cover known brings it under that" must not stand beside a line that covers the same graft against it or its like.
    private static bool IsHelped(WorkItem item, List<WorkItem> all) =>
        item is { Action: WorkAction.Know, Choice.Remedy: null }
        && all.Exists(other => other.Actions.Any(action => item.Hazard == Hazard.Frost
            ? action is WorkAction.FrostCover
            : action is WorkAction.Shade or WorkAction.Vent or WorkAction.CloseCover));
}

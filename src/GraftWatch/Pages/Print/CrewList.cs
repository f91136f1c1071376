using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters.Outline;
using GraftWatch.Letters.Wording;
using GraftWatch.Pages.Today;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.Print;

/// <summary>The day's work for a crew: by block and row in walking order, each line of the letter where it is to be done.</summary>
/// <param name="Work">The lines that are open, as the letter numbers them.</param>
/// <param name="Rows">Where they are to be done.</param>
/// <param name="Bring">What to carry, each with the numbers of the lines that need it.</param>
internal sealed record CrewList(IReadOnlyList<WorkBlock> Work, IReadOnlyList<CrewRow> Rows, IReadOnlyList<(string Thing, IReadOnlyList<int> Lines)> Bring)
{
    /// <summary>Makes the list.</summary>
    /// <param name="day">The grower's day.</param>
    /// <param name="grafts">The register in walking order.</param>
    /// <param name="answers">What was answered since the round was computed is left out.</param>
    /// <param name="block">Only this block; null for all.</param>
    internal static CrewList Of(GrowerDay day, IReadOnlyList<Graft> grafts, IReadOnlyList<NotedAnswer> answers, string? block)
    {
        Dictionary<string, (Graft Graft, int Order)> register = grafts.Select((graft, order) => (graft, order)).ToDictionary(pair => pair.graft.Label, pair => (pair.graft, pair.order), StringComparer.Ordinal);
        var jobs = new List<(Graft Graft, int Order, WorkBlock Block)>();
        foreach (WorkBlock work in day.Outline.Work.Where(work => TodayPages.CanAnswer(work.Advice)))
        {
            foreach (string label in LineState.Of(work.Advice, day.Round.Now, answers).Open)
            {
                if (register.TryGetValue(label, out (Graft Graft, int Order) found) && (block is null || found.Graft.Block == block))
                {
                    jobs.Add((found.Graft, found.Order, work));
                }
            }
        }

        CrewRow[] rows =
        [
            .. jobs.GroupBy(job => (job.Graft.Place, job.Graft.Block, job.Graft.Row))
                .OrderBy(row => row.Min(job => job.Order))
                .Select(row => new CrewRow(row.Key.Place, row.Key.Block, row.Key.Row, [.. row.GroupBy(job => job.Block).OrderBy(line => line.Key.Number).Select(JobOf)])),
        ];
        WorkBlock[] open = [.. day.Outline.Work.Where(work => jobs.Exists(job => ReferenceEquals(job.Block, work)))];
        return new CrewList(open, rows, BringOf(open));
    }

    // "4 × white paper sleeve" of one line and "3 ×" of another are seven to carry.
    private static (string, IReadOnlyList<int>)[] BringOf(WorkBlock[] open) =>
    [
        .. open.SelectMany(work => work.Advice.Materials.Select(thing => (Thing: Counted(thing), work.Number)))
            .GroupBy(pair => pair.Thing.Name, StringComparer.Ordinal)
            .Select(group =>
            {
                int count = group.Sum(pair => pair.Thing.Count);
                string thing = count > 0 ? string.Create(CultureInfo.InvariantCulture, $"{count} × {group.Key}") : group.Key;
                return (thing, (IReadOnlyList<int>)[.. group.Select(pair => pair.Number).Distinct()]);
            }),
    ];

    private static (int Count, string Name) Counted(string thing)
    {
        int times = thing.IndexOf(" × ", StringComparison.Ordinal);
        return times > 0 && int.TryParse(thing.AsSpan(0, times), NumberStyles.None, CultureInfo.InvariantCulture, out int count) ? (count, thing[(times + 3)..]) : (0, thing);
    }

    private static CrewJob JobOf(IGrouping<WorkBlock, (Graft Graft, int Order, WorkBlock Block)> line)
    {
        (Graft Graft, int Order, WorkBlock Block)[] inOrder = [.. line.OrderBy(job => job.Order)];
        return new CrewJob(line.Key.Number, line.Key.Advice.Action, LabelList.Fold([.. inOrder.Select(job => job.Graft.Label)]), inOrder.Sum(job => job.Graft.Count));
    }
}

/// <summary>One row of a block.</summary>
/// <param name="Place">Place.</param>
/// <param name="Block">Block; empty for none.</param>
/// <param name="Row">Row; empty for none.</param>
/// <param name="Jobs">What is to be done there.</param>
internal sealed record CrewRow(string Place, string Block, string Row, IReadOnlyList<CrewJob> Jobs);

/// <summary>One line of the letter in one row.</summary>
/// <param name="Number">Number of the line.</param>
/// <param name="Action">Kind of work.</param>
/// <param name="Labels">Labels in walking order, folded.</param>
/// <param name="Unions">Number of unions.</param>
internal sealed record CrewJob(int Number, Aftercare.Advising.WorkAction Action, string Labels, int Unions);

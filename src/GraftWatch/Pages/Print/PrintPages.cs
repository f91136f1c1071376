using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters.Outline;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Today;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.Print;

/// <summary>The work list for the crew, for paper.</summary>
internal sealed class PrintPages(TodayService today) : IPageGroup
{
    private const int RowsOnPage = 40;
    private const int MostBlocks = 200;

    public IReadOnlyList<MenuEntry> Menu { get; } = [new("print.menu", "/print", Access.Grower, 40)];

    public void Map(PageRoutes routes) => routes.Get("/print", Access.Grower, ShowAsync);

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        (GrowerDay? day, IReadOnlyList<string> faults) = await today.LookAsync(page).ConfigureAwait(false);
        if (day is null)
        {
            return faults.Count == 0 ? TodayService.Wait(page) : page.Next("/today");
        }

        IReadOnlyList<Graft> grafts = await today.GraftsAsync(page).ConfigureAwait(false);
        IReadOnlyList<NotedAnswer> answers = await today.AnswersAsync(page).ConfigureAwait(false);
        string[] blocks = [.. grafts.Select(graft => graft.Block).Distinct(StringComparer.Ordinal)];
        string? block = blocks.Contains(page.Query("block")) && page.Query("block").Length > 0 ? page.Query("block") : null;
        var list = CrewList.Of(day, grafts, answers, block);
        Pager pager = Pager.Of(page, list.Rows.Count, RowsOnPage);
        return page.Show(page.Say("print.title", page.Days.Long(day.Round.Date)), html =>
        {
            Choose(html, page, blocks, block);
            html.Paragraph(page.Say("print.head", day.Grower.Name, block ?? page.Say("print.all-blocks"), page.Days.Hour(day.Round.Now)));
            if (list.Rows.Count == 0)
            {
                html.Paragraph(page.Say("today.no-work"), "lead");
                return;
            }

            CrewRow[] shown = [.. pager.Of(list.Rows)];
            Lines(html, page, list, shown);
            Where(html, page, shown);
            html.Pager(page, pager);
            Care(html, page, list);
        });
    }

    private static void Choose(Html html, PageContext page, string[] blocks, string? chosen)
    {
        using (html.In("div", ("class", "no-print")))
        {
            html.Paragraph(page.Say("print.how"));
            if (blocks.Length > 1)
            {
                PageForm form = PageForm.Fresh(page).With("block", chosen);
                html.Search(page, "/print", () =>
                {
                    html.ChoiceField(form, "block", page.Say("grafts.block"), [("", page.Say("print.all-blocks")), .. blocks.Where(block => block.Length > 0).Take(MostBlocks).Select(block => (block, block))]);
                    html.Button(page.Say("grafts.show"), "second");
                });
            }
        }
    }

    // What each number means: the line in the letter's words, with its hours and what it needs.
    private static void Lines(Html html, PageContext page, CrewList list, IReadOnlyList<CrewRow> shown)
    {
        var numbers = shown.SelectMany(row => row.Jobs.Select(job => job.Number)).ToHashSet();
        html.Leaf("h2", page.Say("print.work"));
        using (html.In("dl", ("class", "crew")))
        {
            foreach (WorkBlock work in list.Work.Where(work => numbers.Contains(work.Number)))
            {
                html.Leaf("dt", work.Number.ToString(CultureInfo.InvariantCulture), ("class", "number"));
                using (html.In("dd", ("lang", page.English())))
                {
                    html.Leaf("strong", LetterOutline.Heading(work.Pressing) + ":");
                    html.Text(work.Headline);
                    html.Leaf("div", string.Join("; ", work.Needs.Where(need => need.Name == "Takes").Select(need => need.Words)), ("class", "small"));
                }
            }
        }

        html.Leaf("h2", page.Say("print.bring"));
        if (list.Bring.Count == 0)
        {
            html.Paragraph(page.Say("print.bring-nothing"));
            return;
        }

        using (html.In("ul", ("class", "tickable")))
        {
            foreach ((string thing, IReadOnlyList<int> lines) in list.Bring)
            {
                html.Leaf("li", $"{thing} ({string.Join(", ", lines)})", ("lang", page.English()));
            }
        }
    }

    private static void Where(Html html, PageContext page, IReadOnlyList<CrewRow> rows)
    {
        (string, string)? block = null;
        foreach (CrewRow row in rows)
        {
            if (block != (row.Place, row.Block))
            {
                block = (row.Place, row.Block);
                html.Leaf("h2", row.Block.Length > 0 ? $"{row.Place}, {page.Say("grafts.in-block", row.Block)}" : row.Place);
            }

            using (html.In("section", ("class", "crew-row")))
            {
                html.Leaf("h3", row.Row.Length > 0 ? page.Say("plan.row", row.Row) : page.Say("plan.no-row"));
                using (html.In("ul", ("class", "tickable")))
                {
                    foreach (CrewJob job in row.Jobs)
                    {
                        html.Leaf("li", $"{job.Number.ToString(CultureInfo.InvariantCulture)} · {page.Of(job.Action)}: {TradeWords.Cut(job.Labels)} ({page.Count("grafts.unions", job.Unions)})");
                    }
                }
            }
        }
    }

    private static void Care(Html html, PageContext page, CrewList list)
    {
        html.Leaf("h2", page.Say("print.care"));
        using (html.In("ul", ("lang", page.English())))
        {
            foreach (string caution in list.Work.SelectMany(work => work.Advice.Cautions).Distinct(StringComparer.Ordinal))
            {
                html.Leaf("li", caution);
            }
        }

        html.Paragraph(page.Say("layout.estimates"), "small");
    }
}

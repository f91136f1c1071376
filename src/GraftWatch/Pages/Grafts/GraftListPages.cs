using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Today;

namespace GraftWatch.Pages.Grafts;

/// <summary>The list of grafts.</summary>
internal sealed class GraftListPages(TodayService today) : IPageGroup
{
    private const int OnPage = 50;
    private const int MostBlocks = 200;

    public IReadOnlyList<MenuEntry> Menu { get; } = [new("grafts.menu", "/grafts", Access.Grower, 20)];

    public void Map(PageRoutes routes) => routes.Get("/grafts", Access.Grower, ShowAsync);

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        (GrowerDay? day, IReadOnlyList<string> faults) = await today.LookAsync(page).ConfigureAwait(false);
        if (faults.Count > 0)
        {
            return page.Next("/today");
        }

        IReadOnlyList<Graft> grafts = await today.GraftsAsync(page).ConfigureAwait(false);
        var filter = GraftFilter.Of(page.Query("text"), page.Query("block"), page.Query("stage"), page.Query("due"));
        IReadOnlyList<Graft> shown = filter.Apply(grafts, day);
        Pager pager = Pager.Of(page, shown.Count, OnPage);
        bool isFile = today.RegisterFileOf(page.Grower.Name) is not null;
        return page.Show(page.Say("grafts.title"), html =>
        {
            Doing(html, page, isFile, grafts.Count);
            if (grafts.Count == 0)
            {
                html.Paragraph(page.Say("grafts.none"), "lead");
                return;
            }

            Filters(html, page, filter, grafts, day);
            html.Paragraph(page.Count("grafts.count", shown.Count) + (day is { IsBehind: true } ? " " + page.Say("grafts.behind") : string.Empty), "small");
            if (shown.Count > 0)
            {
                Table(html, page, pager.Of(shown), day);
            }

            html.Pager(page, pager);
        });
    }

    private static void Doing(Html html, PageContext page, bool isFile, int count)
    {
        if (isFile)
        {
            html.Paragraph(page.Say("grafts.in-file"));
        }

        using (html.In("p", ("class", "row no-print")))
        {
            if (!isFile)
            {
                html.Link(page.To("/grafts/add"), page.Say("grafts.add"), "button");
                html.Link(page.To("/grafts/upload"), page.Say("grafts.upload"), "button second");
            }

            if (count > 0)
            {
                html.Link(page.To("/plan"), page.Say("grafts.plan"), "button second");
                html.Link(page.To("/labels" + page.Http.Request.QueryString), page.Say("grafts.labels"), "button second");
                html.Link(page.To("/grafts/register.csv"), page.Say("grafts.download"));
            }
        }
    }

    private static void Filters(Html html, PageContext page, GraftFilter filter, IReadOnlyList<Graft> grafts, GrowerDay? day)
    {
        PageForm form = PageForm.Fresh(page).With("text", filter.Text).With("block", filter.Block).With("stage", page.Query("stage")).With("due", page.Query("due"));
        string any = page.Say("grafts.any");
        html.Search(page, "/grafts", () =>
        {
            html.TextField(form, "text", page.Say("grafts.text"));
            string[] blocks = [.. grafts.Select(graft => graft.Block).Where(block => block.Length > 0).Distinct(StringComparer.Ordinal).Take(MostBlocks)];
            if (blocks.Length > 1)
            {
                html.ChoiceField(form, "block", page.Say("grafts.block"), [("", any), .. blocks.Select(block => (block, block))]);
            }

            if (day is not null)
            {
                IEnumerable<(string, string)> stages = Enum.GetValues<Stage>().Where(stage => day.Round.Stages.Any(at => at.Stage == stage)).Select(stage => (TradeNames.Key(stage), page.Of(stage)));
                html.ChoiceField(form, "stage", page.Say("grafts.stage"), [("", any), .. stages]);
                IEnumerable<(string, string)> actions = day.Round.Advice.Select(line => line.Action).Distinct().Where(Rounds.Answering.WorkTraces.IsWork).Select(action => (action.Key(), page.Of(action)));
                html.ChoiceField(form, "due", page.Say("grafts.due"), [("", any), (GraftFilter.AnyWord, page.Say("grafts.some-work")), .. actions]);
            }

            html.Button(page.Say("grafts.show"), "second");
        });
    }

    private static void Table(Html html, PageContext page, IEnumerable<Graft> grafts, GrowerDay? day)
    {
        using (html.In("div", ("class", "wide"), ("tabindex", "0"), ("role", "region"), ("aria-label", page.Say("grafts.title"))))
        using (html.In("table", ("class", "grafts")))
        {
            using (html.In("thead"))
            using (html.In("tr"))
            {
                foreach (string column in (string[])["grafts.col-label", "grafts.col-where", "grafts.col-what", "grafts.col-stage", "grafts.col-due"])
                {
                    html.Leaf("th", page.Say(column), ("scope", "col"));
                }
            }

            using (html.In("tbody"))
            {
                foreach (Graft graft in grafts)
                {
                    Row(html, page, graft, day);
                }
            }
        }
    }

    private static void Row(Html html, PageContext page, Graft graft, GrowerDay? day)
    {
        using (html.In("tr"))
        {
            using (html.In("th", ("scope", "row")))
            {
                html.Link(page.To("/grafts/one?label=" + Uri.EscapeDataString(graft.Label)), graft.Label);
            }

            html.Leaf("td", Where(page, graft));
            html.Leaf("td", What(page, graft));
            html.Leaf("td", day?.StageOf(graft.Label) is { } stage ? StageWords(page, stage) : Language.Figures.Unknown);
            string due = day is null ? string.Empty : string.Join(", ", day.AdviceOf(graft.Label).Where(GraftFilter.IsDue).Select(line => page.Of(line.Action)).Distinct());
            html.Leaf("td", due);
        }
    }

    /// <summary>"Block B, row 3, tree 7".</summary>
    internal static string Where(PageContext page, Graft graft) => string.Join(
        ", ",
        new[]
        {
            graft.Block.Length > 0 ? page.Say("grafts.in-block", Short(graft.Block)) : string.Empty,
            graft.Row.Length > 0 ? page.Say("grafts.in-row", Short(graft.Row)) : string.Empty,
            graft.Tree.Length > 0 ? page.Say("grafts.at-tree", Short(graft.Tree)) : string.Empty,
        }.Where(part => part.Length > 0));

    /// <summary>"Winter Banner on M9, apple, whip-and-tongue".</summary>
    internal static string What(PageContext page, Graft graft)
    {
        string pair = (graft.Scion.Length > 0, graft.Stock.Length > 0) switch
        {
            (true, true) => page.Say("grafts.scion-on-stock", Short(graft.Scion), Short(graft.Stock)),
            (true, false) => Short(graft.Scion),
            (false, true) => page.Say("grafts.on-stock", Short(graft.Stock)),
            _ => string.Empty,
        };
        string count = graft.Count > 1 ? page.Count("grafts.unions", graft.Count) : string.Empty;
        return string.Join(", ", new[] { pair, graft.Species, page.Of(graft.Technique), count }.Where(part => part.Length > 0));
    }

    private static string StageWords(PageContext page, GraftStage stage) => stage is { NextStage: { } next, Likely: { } likely }
        ? page.Say("grafts.stage-then", page.Of(stage.Stage), page.Of(next), page.Days.Short(likely))
        : page.Of(stage.Stage);

    private static string Short(string text) => text.Length <= 60 ? text : text[..60] + "…";
}

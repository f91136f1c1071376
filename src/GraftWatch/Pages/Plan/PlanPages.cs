using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Today;

namespace GraftWatch.Pages.Plan;

/// <summary>A block from above.</summary>
internal sealed class PlanPages(TodayService today) : IPageGroup
{
    private const int TreesOnPage = 80;
    private const int MostBlocks = 200;

    public IReadOnlyList<MenuEntry> Menu { get; } = [new("plan.menu", "/plan", Access.Grower, 30)];

    public void Map(PageRoutes routes) => routes.Get("/plan", Access.Grower, ShowAsync);

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        (GrowerDay? day, IReadOnlyList<string> faults) = await today.LookAsync(page).ConfigureAwait(false);
        if (faults.Count > 0)
        {
            return page.Next("/today");
        }

        IReadOnlyList<Graft> grafts = await today.GraftsAsync(page).ConfigureAwait(false);
        IReadOnlyList<(string Place, string Block)> blocks = BlockPlan.BlocksOf(grafts);
        if (blocks.Count == 0)
        {
            return page.Show(page.Say("plan.title"), html => html.Paragraph(page.Say("grafts.none"), "lead"));
        }

        string asked = page.Query("block");
        int chosen = 0;
        for (int i = 0; i < blocks.Count; i++)
        {
            chosen = Key(blocks[i]) == asked ? i : chosen;
        }

        var plan = BlockPlan.Of(grafts, blocks[chosen].Place, blocks[chosen].Block, day);
        Pager pager = Pager.Of(page, plan.Trees.Count, TreesOnPage);
        PlanTree[] trees = [.. pager.Of(plan.Trees)];
        string name = NameOf(page, blocks[chosen], blocks.Select(block => block.Place).Distinct().Count() > 1);
        return page.Show(page.Say("plan.of", name), html =>
        {
            Choose(html, page, blocks, blocks[chosen]);
            html.Paragraph(page.Say("plan.schematic"));
            using (html.In("div", ("class", "wide"), ("tabindex", "0"), ("role", "region"), ("aria-label", page.Say("plan.of", name))))
            {
                html.Drawing(PlanDrawing.Svg(trees, plan.Sun, WordsOf(page, day, plan, name, trees)));
            }

            Legend(html, page);
            Table(html, page, trees);
            html.Pager(page, pager);
        });
    }

    private static void Choose(Html html, PageContext page, IReadOnlyList<(string Place, string Block)> blocks, (string Place, string Block) chosen)
    {
        if (blocks.Count > 1)
        {
            bool many = blocks.Select(block => block.Place).Distinct().Count() > 1;
            PageForm form = PageForm.Fresh(page).With("block", Key(chosen));
            html.Search(page, "/plan", () =>
            {
                html.ChoiceField(form, "block", page.Say("grafts.block"), blocks.Take(MostBlocks).Select(block => (Key(block), NameOf(page, block, many))));
                html.Button(page.Say("grafts.show"), "second");
            });
        }
    }

    private static void Legend(Html html, PageContext page)
    {
        html.Leaf("h2", page.Say("plan.legend"));
        using (html.In("ul"))
        {
            foreach (string key in (string[])["plan.legend-tree", "plan.legend-union", "plan.legend-due", "plan.legend-sun"])
            {
                html.Leaf("li", page.Say(key));
            }
        }
    }

    private static void Table(Html html, PageContext page, IReadOnlyList<PlanTree> trees)
    {
        using (html.In("details"))
        {
            html.Leaf("summary", page.Say("plan.as-table"));
            using (html.In("table"))
            {
                using (html.In("thead"))
                using (html.In("tr"))
                {
                    html.Leaf("th", page.Say("graft-form.row"), ("scope", "col"));
                    html.Leaf("th", page.Say("graft-form.tree"), ("scope", "col"));
                    html.Leaf("th", page.Say("plan.unions"), ("scope", "col"));
                }

                using (html.In("tbody"))
                {
                    foreach (PlanTree tree in trees)
                    {
                        using (html.In("tr"))
                        {
                            html.Leaf("td", tree.Row);
                            html.Leaf("td", tree.Tree);
                            html.Leaf("td", string.Join("; ", tree.Unions.Select(union => page.Say(union.HasWork ? "plan.faces-due" : "plan.faces", union.Label, page.Compass(union.AspectDeg)))));
                        }
                    }
                }
            }
        }
    }

    private static PlanWords WordsOf(PageContext page, GrowerDay? day, BlockPlan plan, string name, IReadOnlyList<PlanTree> trees)
    {
        string[] sun = plan.Sun is { } worst && day is not null ? SunLines(page, new Days(page.Language, day.ZoneOf(plan.Place)), worst) : [];
        int unions = trees.Sum(tree => tree.Unions.Count);
        string described = page.Say("plan.described", trees.Count.ToString(CultureInfo.InvariantCulture), unions.ToString(CultureInfo.InvariantCulture)) + " " + string.Join(' ', sun);
        return new PlanWords(page.Say("plan.of", name), described, page.Say("plan.north"), row => page.Say("plan.row", row), page.Say("plan.no-row"), sun, page.Say("plan.no-sun"));
    }

    private static string[] SunLines(PageContext page, Days days, WorstSun worst) =>
    [
        page.Say("plan.sun", days.At(worst.At)),
        page.Say("plan.sun-from", page.Compass(worst.AzimuthDeg), page.Figures.Angle(worst.AzimuthDeg), page.Figures.Angle(worst.AltitudeDeg)),
        page.Say("plan.sun-graft", worst.Graft),
    ];

    private static string NameOf(PageContext page, (string Place, string Block) block, bool many)
    {
        string name = block.Block.Length > 0 ? block.Block : page.Say("plan.no-block");
        return many ? $"{block.Place}, {name}" : name;
    }

    private static string Key((string Place, string Block) block) => block.Place + " / " + block.Block;
}

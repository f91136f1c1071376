using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Grafts;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Today;

namespace GraftWatch.Pages.Labels;

/// <summary>Labels to print and cut: the short code large, the graft in small, and a code that opens its page.</summary>
internal sealed class LabelPages(TodayService today) : IPageGroup
{
    /// <summary>Sheets: word of the address, labels on a sheet.</summary>
    internal static readonly (string Word, int Labels)[] Papers = [("a4", 24), ("letter", 21)];

    public void Map(PageRoutes routes) => routes.Get("/labels", Access.Grower, ShowAsync);

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        (GrowerDay? day, IReadOnlyList<string> faults) = await today.LookAsync(page).ConfigureAwait(false);
        if (faults.Count > 0)
        {
            return page.Next("/today");
        }

        IReadOnlyList<Graft> grafts = await today.GraftsAsync(page).ConfigureAwait(false);
        var filter = GraftFilter.Of(page.Query("text"), page.Query("block"), page.Query("stage"), page.Query("due"));
        IReadOnlyList<Graft> chosen = filter.Apply(grafts, day);
        string asked = page.Query("paper");
        (string paper, int size) = Array.Find(Papers, each => each.Word == asked) is { Word: not null } known ? known : Papers[0];
        Pager pager = Pager.Of(page, chosen.Count, size);
        return page.Show(page.Say("labels.title"), html =>
        {
            Choose(html, page, filter, paper, chosen.Count);
            html.Pager(page, pager);
            using (html.In("div", ("class", "sheet " + paper)))
            {
                foreach (Graft graft in pager.Of(chosen))
                {
                    Label(html, page, graft);
                }
            }
        });
    }

    private static void Choose(Html html, PageContext page, GraftFilter filter, string paper, int count)
    {
        using (html.In("div", ("class", "no-print")))
        {
            html.Paragraph(page.Say("labels.how"));
            html.Paragraph(page.Say(page.Site.PublicAddress is null ? "labels.code-says-label" : "labels.code-opens-page"), "small");
            PageForm form = PageForm.Fresh(page).With("text", filter.Text).With("paper", paper);
            html.Search(page, "/labels", () =>
            {
                html.Hidden("block", filter.Block ?? string.Empty);
                html.Hidden("stage", page.Query("stage"));
                html.Hidden("due", page.Query("due"));
                html.TextField(form, "text", page.Say("grafts.text"));
                html.ChoiceField(form, "paper", page.Say("labels.paper"), Papers.Select(each => (each.Word, page.Say("labels.paper-" + each.Word))));
                html.Button(page.Say("grafts.show"), "second");
            });
            html.Paragraph(page.Count("grafts.count", count), "small");
        }
    }

    private static void Label(Html html, PageContext page, Graft graft)
    {
        using (html.In("div", ("class", "label")))
        {
            html.Drawing(QrCode.Svg(CodeOf(page.Site.PublicAddress, graft.Label), Html.Encode(page.Say("labels.code-of", graft.Label))));
            using (html.In("div"))
            {
                html.Leaf("strong", graft.Label);
                html.Leaf("span", GraftListPages.What(page, graft with { Count = 1 }));
                string made = page.Days.Plain(graft.Made);
                html.Leaf("span", graft.Count > 1 ? made + " · " + graft.Count.ToString(CultureInfo.InvariantCulture) + " ×" : made);
            }
        }
    }

    /// <summary>What the code of a label says: the address of the graft's page where growers reach it, else the label.</summary>
    internal static string CodeOf(Uri? publicAddress, string label) =>
        publicAddress is null ? label : publicAddress.GetLeftPart(UriPartial.Path).TrimEnd('/') + "/grafts/one?label=" + Uri.EscapeDataString(label);
}

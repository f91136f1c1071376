using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using NodaTime;

namespace GraftWatch.Pages.Operator;

/// <summary>Everybody who gets letters; letters of one or of all can be paused and resumed.</summary>
internal sealed class GrowersPages(GrowersInForce growers, RecordsStore store) : IPageGroup
{
    private const int PageSize = 50;
    private const int AtOnce = 64;

    public void Map(PageRoutes routes)
    {
        routes.Get("/operator/growers", Access.Operator, ShowAsync);
        routes.Get("/operator/growers/all", Access.Operator, page => Task.FromResult(AskAll(page)));
        routes.Post("/operator/growers/pause-all", Access.Operator, PauseAllAsync);
        routes.Post("/operator/growers/resume-all", Access.Operator, ResumeAllAsync);
    }

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        InForce inForce = await growers.LoadAsync(page.Stopped).ConfigureAwait(false);
        string wanted = page.Query("find", 80).Trim();
        Grower[] found =
        [
            .. inForce.Growers
                .Where(grower => wanted.Length == 0 || grower.Name.Contains(wanted, StringComparison.OrdinalIgnoreCase) || grower.Address.Contains(wanted, StringComparison.OrdinalIgnoreCase))
                .OrderBy(grower => grower.Name, StringComparer.OrdinalIgnoreCase),
        ];
        Pager pager = Pager.Of(page, found.Length, PageSize);
        Dictionary<string, GrowerStop> stops = new(inForce.Stops.Select(stop => KeyValuePair.Create(stop.Grower, stop)), StringComparer.OrdinalIgnoreCase);
        return OperatorView.Show(page, page.Say("operator.growers"), html =>
        {
            html.Paragraph(page.Count("operator.grower-count", inForce.Growers.Count, OperatorView.Number(inForce.Growers.Count - inForce.Morning.Growers.Count)), "lead");
            html.Search(page, "/operator/growers", () =>
            {
                html.TextField(PageForm.Fresh(page).With("find", wanted), "find", page.Say("operator.find"), new FieldLook(Limit: 80));
                html.Button(page.Say("operator.find-button"), "second");
            });
            html.Table([page.Say("operator.name"), page.Say("operator.address"), page.Say("operator.places"), page.Say("operator.hour"), page.Say("operator.letters")], () =>
            {
                foreach (Grower grower in pager.Of(found))
                {
                    Row(html, page, grower, stops.GetValueOrDefault(grower.Name));
                }
            });
            if (found.Length == 0)
            {
                html.Paragraph(page.Say("operator.find-none"));
            }

            html.Pager(page, pager);
            using (html.In("p"))
            {
                html.Link(page.To("/operator/growers/new"), page.Say("operator.add"), "button");
                html.Link(page.To("/operator/growers/all"), page.Say("operator.pause-all"), "button second");
            }
        });
    }

    private static void Row(Html html, PageContext page, Grower grower, GrowerStop? stop)
    {
        using (html.In("tr"))
        {
            html.LinkCell(page.Say("operator.name"), page.To(OperatorView.PathOf(grower.Name)), grower.Name);
            html.Cell(page.Say("operator.address"), grower.Address);
            html.Cell(page.Say("operator.places"), string.Join(", ", grower.Places));
            html.Cell(page.Say("operator.hour"), Days.Hour(grower.LetterTime), "number");
            html.Cell(page.Say("operator.letters"), StopWords(page, grower.Zone, stop));
        }
    }

    /// <summary>Whether the letters go out, and by whose word they do not.</summary>
    internal static string StopWords(PageContext page, DateTimeZone zone, GrowerStop? stop) => stop switch
    {
        null => page.Say("operator.go-out"),
        { By: StoppedBy.Operator } => page.Say("operator.paused-since", new Days(page.Language, zone).At(stop.At)),
        _ => page.Say("operator.left-since", new Days(page.Language, zone).At(stop.At)),
    };

    private static PageAnswer AskAll(PageContext page) => OperatorView.Show(page, page.Say("operator.pause-all"), html =>
    {
        html.Paragraph(page.Say("operator.pause-all-how"), "lead");
        html.Form(page, "/operator/growers/pause-all", () => html.Button(page.Say("operator.pause-all-button"), "grave"));
        html.Leaf("h2", page.Say("operator.resume-all"));
        html.Paragraph(page.Say("operator.resume-all-how"));
        html.Form(page, "/operator/growers/resume-all", () => html.Button(page.Say("operator.resume-all-button"), "second"));
    });

    private async Task<PageAnswer> PauseAllAsync(PageContext page)
    {
        InForce inForce = await growers.LoadAsync(page.Stopped).ConfigureAwait(false);
        await EachAsync(inForce.Morning.Growers.Select(grower => grower.Name), name => store.Stops.StopAsync(name, StoppedBy.Operator, page.Now, CancellationToken.None)).ConfigureAwait(false);
        return page.Next("/operator/growers", "said.all-paused");
    }

    // Who asked for silence keeps it.
    private async Task<PageAnswer> ResumeAllAsync(PageContext page)
    {
        IReadOnlyList<GrowerStop> stops = await store.Stops.LoadStopsAsync(page.Stopped).ConfigureAwait(false);
        await EachAsync(stops.Where(stop => stop.By == StoppedBy.Operator).Select(stop => stop.Grower), name => store.Stops.ResumeAsync(name, CancellationToken.None)).ConfigureAwait(false);
        return page.Next("/operator/growers", "said.all-resumed");
    }

    // Writers that stand in line together share a commit; once begun it is done for everybody, even when the browser leaves.
    private static async Task EachAsync(IEnumerable<string> names, Func<string, Task> act)
    {
        foreach (string[] some in names.Chunk(AtOnce))
        {
            await Task.WhenAll(some.Select(act)).ConfigureAwait(false);
        }
    }
}

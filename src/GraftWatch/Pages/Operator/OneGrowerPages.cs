using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;

namespace GraftWatch.Pages.Operator;

/// <summary>One grower as the operator sees them: how they are reached, their last letters, pause and resume, a test letter.</summary>
internal sealed class OneGrowerPages(GrowersInForce growers, RecordsStore store, IRegister register, TestLetters tests, SettingsInForce settings) : IPageGroup
{
    private const int LettersShown = 10;

    public void Map(PageRoutes routes)
    {
        routes.Get("/operator/growers/one", Access.Operator, ShowAsync);
        routes.Post("/operator/growers/pause", Access.Operator, page => ActAsync(page, grower => store.Stops.StopAsync(grower.Name, StoppedBy.Operator, page.Now, page.Stopped), "said.paused"));
        routes.Post("/operator/growers/resume", Access.Operator, page => ActAsync(page, grower => store.Stops.ResumeAsync(grower.Name, page.Stopped), "said.one-resumed"));
        routes.Post("/operator/growers/test-letter", Access.Operator, TestAsync);
    }

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        InForce inForce = await growers.LoadAsync(page.Stopped).ConfigureAwait(false);
        if (inForce.Growers.FirstOrDefault(one => one.Name == page.Query("name")) is not { } grower)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        IReadOnlyList<ShelvedLetter> letters = await store.Shelf.LoadAsync(new ShelfWish { Grower = grower.Name }, LettersShown, page.Stopped).ConfigureAwait(false);
        string grafts = await GraftsAsync(page, grower).ConfigureAwait(false);
        GrowerStop? stop = inForce.Stops.FirstOrDefault(one => string.Equals(one.Grower, grower.Name, StringComparison.OrdinalIgnoreCase));
        bool isInFile = inForce.Settings.Morning.Growers.Contains(grower);
        return OperatorView.Show(page, grower.Name, html =>
        {
            html.Paragraph(GrowersPages.StopWords(page, grower.Zone, stop), "lead");
            using (html.In("dl"))
            {
                html.Fact(page.Say("operator.address"), grower.Address);
                html.Fact(page.Say("operator.places"), grower.Places.Count == 0 ? Figures.Unknown : string.Join(", ", grower.Places));
                html.Fact(page.Say("operator.hour"), $"{Days.Hour(grower.LetterTime)} ({grower.Zone.Id})");
                html.Fact(page.Say("operator.morning-by"), string.Join(", ", grower.Morning.Select(channel => LetterWords.Channel(page, channel))));
                html.Fact(page.Say("operator.urgent-by"), grower.Urgent.Count == 0 ? page.Say("operator.no-urgent") : string.Join(", ", grower.Urgent.Select(channel => LetterWords.Channel(page, channel))));
                html.Fact(page.Say("operator.register"), grafts);
                html.Fact(page.Say("operator.kept-in"), page.Say(isInFile ? "operator.kept-in-file" : "operator.kept-in-store"));
            }

            Pause(html, page, grower, stop);
            html.Leaf("h2", page.Say("operator.last-letters"));
            LettersPages.List(html, page, new Days(page.Language, grower.Zone), letters, withGrower: false);
            html.Link(page.To("/operator/letters?grower=" + Uri.EscapeDataString(grower.Name)), page.Say("operator.all-letters"));
            Test(html, page, grower);
        });
    }

    private async Task<string> GraftsAsync(PageContext page, Grower grower)
    {
        try
        {
            int count = (await register.LoadGraftsAsync(grower.Name, page.Stopped).ConfigureAwait(false)).Count;
            return page.Count("operator.graft-count", count);
        }
        catch (Inputs.RegisterRefusedException refused)
        {
            return refused.Message;
        }
    }

    private static void Pause(Html html, PageContext page, Grower grower, GrowerStop? stop) => html.Form(
        page,
        stop is null ? "/operator/growers/pause" : "/operator/growers/resume",
        () =>
        {
            html.Hidden("name", grower.Name);
            html.Button(page.Say(stop is null ? "operator.pause" : "operator.resume"), "second");
            if (stop is { By: StoppedBy.Grower })
            {
                html.Paragraph(page.Say("operator.resume-asked"), "small");
            }
        });

    private void Test(Html html, PageContext page, Grower grower)
    {
        html.Leaf("h2", page.Say("operator.test"));
        string to = Recipient(page);
        if (to.Length == 0)
        {
            html.Paragraph(page.Say("operator.test-nowhere"));
            return;
        }

        html.Paragraph(page.Say("operator.test-how", grower.Name, to));
        TestLetter[] last = [.. tests.Last.Where(letter => letter.Grower == grower.Name)];
        if (last.Length > 0)
        {
            using (html.In("ul"))
            {
                foreach (TestLetter letter in last)
                {
                    html.Leaf("li", Words(page, new Days(page.Language, grower.Zone), letter));
                }
            }
        }

        html.Form(page, "/operator/growers/test-letter", () =>
        {
            html.Hidden("name", grower.Name);
            html.Button(page.Say("operator.test-button"), "second");
        });
    }

    private static string Words(PageContext page, Days days, TestLetter letter) => letter switch
    {
        { EndedAt: null } => page.Say("operator.test-runs", days.Hour(letter.BegunAt)),
        { Result: { } result } => page.Say("operator.test-ended", days.Hour(letter.EndedAt.Value), LetterWords.Outcome(page, result), result.Detail),
        _ => page.Say("operator.test-failed", days.Hour(letter.EndedAt.Value), letter.Trouble),
    };

    private async Task<PageAnswer> TestAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        InForce inForce = await growers.LoadAsync(page.Stopped).ConfigureAwait(false);
        if (inForce.Growers.FirstOrDefault(one => one.Name == form.Raw("name")) is not { } grower || Recipient(page) is not { Length: > 0 } to)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        bool began = tests.Begin(grower, to, inForce.Morning);
        return page.Next(OperatorView.PathOf(grower.Name), began ? "said.test-began" : "said.test-waits");
    }

    // The operator's own address; without one, the sender's, which is a mailbox of this installation.
    private string Recipient(PageContext page) =>
        page.Who is { Address.Length: > 0 } who ? who.Address : settings.Current.Installation is { OperatorAddress: { } address } ? address : settings.Current.Installation.Mail?.From ?? string.Empty;

    private async Task<PageAnswer> ActAsync(PageContext page, Func<Grower, Task> act, string said)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        InForce inForce = await growers.LoadAsync(page.Stopped).ConfigureAwait(false);
        if (inForce.Growers.FirstOrDefault(one => one.Name == form.Raw("name")) is not { } grower)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        await act(grower).ConfigureAwait(false);
        return page.Next(OperatorView.PathOf(grower.Name), said);
    }
}

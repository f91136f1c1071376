using System.Text;
using System.Text.RegularExpressions;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.EndToEnd.Tests.Pages;
using GraftWatch.Rounds.Ports;
using Microsoft.Playwright;
using NodaTime;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.Browser.Tests;

/// <summary>What people do on the pages, in a real browser on the real daemon: on a phone without script, on a desk with it.</summary>
public sealed partial class FlowTests(Chromium chromium)
{
    private const string Newcomer = "jonas@hollowfield.example";

    public static TheoryData<int, bool> Looks => new() { { 360, false }, { 360, true }, { 1280, false }, { 1280, true } };

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task Somebody_subscribes_stops_starts_again_takes_everything_along_and_leaves(int width, bool script)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await using Window window = await chromium.OpenAsync(site.Address, new Look(width, script));
        IPage page = window.Page;
        await window.OpenAsync("/subscribe");
        await page.FillAsync("input[name=address]", Newcomer);
        await window.PressAsync("/subscribe");
        await window.OpenAsync(EndToEnd.Tests.Pages.Browser.LinkIn(await site.MailTextAsync(Newcomer)));
        await window.PressAsync(page.Locator("main button[type=submit]"));
        await page.FillAsync("input[name=name]", "Jonas");
        await page.FillAsync("input[name=place]", "Hollow Field");
        await page.FillAsync("input[name=where]", "https://maps.example/?q=47.51234,8.70123");
        await page.FillAsync("input[name=elevation]", "440");
        await window.PressAsync("/subscribe/place");
        await Assertions.Expect(page).ToHaveURLAsync(SubscribedPage());
        Grower grower = Assert.Single(await site.Store.Book.LoadGrowersAsync(default));
        Assert.Equal(("Jonas", Newcomer), (grower.Name, grower.Address));

        await window.PressAsync("/you/stop");
        Assert.Equal(StoppedBy.Grower, (await site.Store.Stops.FindStopAsync("Jonas", default))!.By);
        await window.PressAsync("/you/resume");
        Assert.Null(await site.Store.Stops.FindStopAsync("Jonas", default));

        IDownload archive = await page.RunAndWaitForDownloadAsync(() => page.ClickAsync("a[href$='archive.json']"));
        Assert.Contains(Newcomer, await File.ReadAllTextAsync(await archive.PathAsync(), TestContext.Current.CancellationToken), StringComparison.Ordinal);

        await window.OpenAsync("/you/delete");
        await page.FillAsync("input[name=address]", Newcomer);
        await window.PressAsync("/you/delete");
        Assert.Empty(await site.Store.Book.LoadGrowersAsync(default));
        await window.OpenAsync("/you");
        await Assertions.Expect(page).ToHaveURLAsync(SignInPage());
    }

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task A_place_is_found_by_its_name_and_the_address_is_changed(int width, bool script)
    {
        const string Moved = "jonas@newplace.example";
        using var geocoder = WireMockServer.Start();
        geocoder.Given(Request.Create().WithPath("/v1/search").UsingGet()).RespondWith(Response.Create().WithStatusCode(200).WithHeader("Content-Type", "application/json")
            .WithBody("""{"results":[{"name":"Haselbach","latitude":47.91234,"longitude":9.31001,"elevation":588.0,"timezone":"Europe/Berlin","country":"Germany","admin1":"Baden-Württemberg"},{"name":"Haselbach","latitude":48.2,"longitude":13.1,"timezone":"Europe/Vienna","country":"Austria"}]}"""));
        await using SiteHarness site = await SiteHarness.StartAsync($"subscriptions = true\ngeocoder = \"http://127.0.0.1:{geocoder.Ports[0]}\"");
        await using Window window = await chromium.OpenAsync(site.Address, new Look(width, script));
        IPage page = window.Page;
        await window.OpenAsync("/subscribe");
        await page.FillAsync("input[name=address]", Newcomer);
        await window.PressAsync("/subscribe");
        await window.OpenAsync(EndToEnd.Tests.Pages.Browser.LinkIn(await site.MailTextAsync(Newcomer)));
        await window.PressAsync(page.Locator("main button[type=submit]"));
        await page.FillAsync("input[name=name]", "Jonas");
        await page.FillAsync("input[name=find]", "Haselbach");
        await window.PressAsync(page.Locator("button[name=search]"));
        await window.ShowsAsync("[role=status]");
        await window.ShowsAsync("button[name=pick]");
        await CheckAsync(window, script);
        await window.PictureAsync($"place-found {width} light");
        await window.PressAsync(page.Locator("button[name=pick]").First);
        await window.ShowsAsync("[role=status]");
        await Assertions.Expect(page.Locator("input[name=where]")).ToHaveValueAsync("47.91234, 9.31001");
        await Assertions.Expect(page.Locator("input[name=name]")).ToHaveValueAsync("Jonas");
        await CheckAsync(window, script);
        await window.PictureAsync($"place-picked {width} light");
        await window.PressAsync(page.Locator("form[action$='/subscribe/place'] > button[type=submit]").Last);
        await Assertions.Expect(page).ToHaveURLAsync(SubscribedPage());
        Place place = Assert.Single(await site.Store.Book.LoadPlacesAsync(default));
        Assert.Equal(("Haselbach", 588, "Europe/Berlin"), (place.Name, place.Site.ElevationM, place.Zone.Id));

        await page.ClickAsync("a[href$='/you/address']");
        await CheckAsync(window, script);
        await window.PictureAsync($"you-address {width} light");
        await page.FillAsync("input[name=address]", Moved);
        await window.PressAsync("/you/address");
        await CheckAsync(window, script);
        await window.OpenAsync(EndToEnd.Tests.Pages.Browser.LinkIn(await site.MailTextAsync(Moved)));
        await CheckAsync(window, script);
        Assert.Equal(Newcomer, Assert.Single(await site.Store.Book.LoadGrowersAsync(default)).Address);
        await window.PressAsync(page.Locator("main button[type=submit]"));
        await window.SaysAsync(Moved);
        Assert.Equal(Moved, Assert.Single(await site.Store.Book.LoadGrowersAsync(default)).Address);
    }

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task A_line_of_today_is_answered_whole_and_in_part_and_taken_back(int width, bool script)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        await using Window window = await chromium.OpenAsync(rig.Site.Address, new Look(width, script));
        await window.SignInAsync(rig.Site, GrowerRig.Address);
        IPage page = window.Page;
        await window.OpenAsync("/today");
        await window.PressAsync(page.Locator("button[value=done]").First);
        await window.SaysAsync("Noted as done");
        NotedAnswer answer = Assert.Single(await AnswersAsync(rig));
        Assert.Equal(SaidState.Done, answer.Answer.State);

        await window.OpenAsync("/today/answers");
        await window.PressAsync("/today/undo");
        await window.SaysAsync("Taken back");
        Assert.NotNull(Assert.Single(await AnswersAsync(rig)).UndoneAt);

        await window.OpenAsync("/today");
        await page.Locator("article:has(button[value=done]) a[href*='/today/line']").First.ClickAsync();
        await page.Locator("input[name=graft]:not([disabled])").First.CheckAsync();
        await window.PressAsync(page.Locator("button[value=put-off]").First);
        NotedAnswer part = Assert.Single(await AnswersAsync(rig), each => each.UndoneAt is null);
        Assert.Equal((SaidState.PutOff, 1), (part.Answer.State, part.Answer.Grafts.Count));
    }

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task What_was_seen_is_noted_in_two_taps_and_taken_back(int width, bool script)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        await using Window window = await chromium.OpenAsync(rig.Site.Address, new Look(width, script));
        await window.SignInAsync(rig.Site, GrowerRig.Address);
        await window.OpenAsync("/grafts/one?label=A1-01");
        await window.Page.ClickAsync("details#saw summary");
        await window.PressAsync(window.Page.Locator("button[value='tie cuts in']"));
        NotedObservation note = Assert.Single(await rig.NotesAsync());
        Assert.Equal(("A1-01", (Instant?)null), (note.Observation.Label, note.UndoneAt));
        await window.PressAsync("/saw/undo");
        Assert.NotNull(Assert.Single(await rig.NotesAsync()).UndoneAt);
    }

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task Grafts_are_found_added_in_a_row_and_uploaded_after_a_look(int width, bool script)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        await using Window window = await chromium.OpenAsync(rig.Site.Address, new Look(width, script));
        await window.SignInAsync(rig.Site, GrowerRig.Address);
        IPage page = window.Page;
        int before = (await rig.GraftsAsync()).Count;
        await window.OpenAsync("/grafts?text=banner");
        await page.Locator("a[href*='/grafts/one?label=A1-01']").First.ClickAsync();
        await page.ClickAsync("a[href*='/grafts/add?like=A1-01']");
        await page.FillAsync("input[name=times]", "3");
        await window.PressAsync("/grafts/add");
        Assert.Equal(before + 3, (await rig.GraftsAsync()).Count);

        await window.OpenAsync("/grafts/upload");
        await page.SetInputFilesAsync("input[name=file]", Csv("label,species,made,aspekt\nZ1-01,aple,2026-04-02,S\n"));
        await window.PressAsync("/grafts/upload");
        await window.SaysAsync("aspekt");
        Assert.Equal(before + 3, (await rig.GraftsAsync()).Count);

        await page.SetInputFilesAsync("input[name=file]", Csv("label,species,technique,made,aspect\nZ1-01,apple,whip-and-tongue,2026-04-02,S\n"));
        await window.PressAsync("/grafts/upload");
        await window.SaysAsync("Z1-01");
        Assert.Equal(before + 3, (await rig.GraftsAsync()).Count);
        await window.PressAsync("/grafts/upload/keep");
        Assert.Equal(before + 4, (await rig.GraftsAsync()).Count);
    }

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task A_link_of_the_letter_asks_first_acts_on_the_button_and_takes_back(int width, bool script)
    {
        await using SiteHarness site = await SiteHarness.StartAsync("public_address = \"http://127.0.0.1:8620\"", "2026-05-12T03:29:00Z");
        await site.UntilAsync("2026-05-12T03:33:00Z");
        await site.WaitAsync(() => site.MailsTo(SiteHarness.Mara).Count > 0, "the letter");
        string link = LetterLink().Match(site.MailsTo(SiteHarness.Mara)[0].Parse().TextBody!).Value;
        await using Window window = await chromium.OpenAsync(site.Address, new Look(width, script));
        await window.OpenAsync(link);
        await window.SaysAsync("Nothing has happened yet");
        Assert.Empty(await site.Store.Answers.LoadAnswersAsync("Mara", Instant.MinValue + Duration.FromDays(400), default));
        await window.PressAsync(window.Page.Locator("button"));
        Assert.Single(await site.Store.Answers.LoadAnswersAsync("Mara", Instant.MinValue + Duration.FromDays(400), default));
        await Assertions.Expect(window.Page.Locator("form button")).ToHaveTextAsync("Take it back");
    }

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task The_operator_pauses_a_grower_resumes_and_sends_a_test_letter(int width, bool script)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await using Window window = await chromium.OpenAsync(site.Address, new Look(width, script));
        await window.SignInAsync(site, SiteHarness.Operator);
        await window.OpenAsync("/operator/growers");
        await window.Page.Locator("a[href*='/operator/growers/one?name=Mara']").First.ClickAsync();
        await window.PressAsync("/operator/growers/pause");
        Assert.Equal(StoppedBy.Operator, (await site.Store.Stops.FindStopAsync("Mara", default))!.By);
        await window.PressAsync("/operator/growers/resume");
        Assert.Null(await site.Store.Stops.FindStopAsync("Mara", default));
        int before = site.MailsTo(SiteHarness.Operator).Count;
        await window.PressAsync("/operator/growers/test-letter");
        await site.WaitAsync(() => site.MailsTo(SiteHarness.Operator).Count > before, "the test letter");
        Assert.Empty(site.MailsTo(SiteHarness.Mara));
    }

    [Fact]
    public async Task The_rules_find_a_fault_that_is_there()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await using Window window = await chromium.OpenAsync(site.Address, new Look());
        await window.OpenAsync("/sign-in");
        await window.Page.EvaluateAsync("document.querySelector('label').remove()");
        await Assert.ThrowsAnyAsync<Xunit.Sdk.XunitException>(window.CheckAsync);
    }

    // axe runs as script: where there is none it would never come back.
    private static Task CheckAsync(Window window, bool script) => script ? window.CheckAsync() : Task.CompletedTask;

    private static FilePayload Csv(string text) => new() { Name = "register.csv", MimeType = "text/csv", Buffer = Encoding.UTF8.GetBytes(text) };

    private static Task<IReadOnlyList<NotedAnswer>> AnswersAsync(GrowerRig rig) => rig.Site.Store.Answers.LoadAnswersAsync(GrowerRig.Name, Instant.MinValue, default);

    [GeneratedRegex("/you[?]said=subscribed")]
    private static partial Regex SubscribedPage();

    [GeneratedRegex("/sign-in")]
    private static partial Regex SignInPage();

    [GeneratedRegex("/w/[A-Za-z0-9_-]+")]
    private static partial Regex LetterLink();
}

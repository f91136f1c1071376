using System.Net;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class SubscribeTests
{
    private const string Newcomer = "jonas@hollowfield.example";

    private static readonly (string Name, string Value)[] Place =
    [
        ("name", "Jonas"), ("place", "Hollow Field"), ("where", "geo:47.51234,8.70123;u=15"), ("elevation", "440"), ("shelter", "hedged"), ("frost", "-1,5"), ("zone", string.Empty),
        ("hour", "05:45"), ("units", "metric"), ("language", "de"), ("urgent", "on"), ("hold-from", "22:00"), ("hold-until", "05:00"), ("frost-passes", "on"), ("picture", "on"),
    ];

    [Fact]
    public async Task From_address_to_letters_in_two_forms_and_one_mail()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await ConfirmedAsync(site, Newcomer);
        Shown kept = await browser.PressAsync("/subscribe/place", "/subscribe/place", Place);
        Assert.Equal("/you?said=subscribed", kept.LeadsTo);
        Shown you = await browser.OpenAsync(kept.LeadsTo!);
        Assert.Contains("<html lang=\"de\">", you.Text, StringComparison.Ordinal);
        Assert.Contains("Sie sind dabei", you.Plain, StringComparison.Ordinal);
        Assert.Contains("47,512, 8,701, 440", you.Plain, StringComparison.Ordinal);

        Grower grower = Assert.Single(await site.Store.Book.LoadGrowersAsync(default));
        Assert.Equal(("Jonas", Newcomer, "Europe/Zurich", new LocalTime(5, 45), UnitSystem.Metric), (grower.Name, grower.Address, grower.Zone.Id, grower.LetterTime, grower.Units));
        Assert.Equal((new LocalTime(22, 0), new LocalTime(5, 0), true, false), (grower.Wishes.HoldFrom!.Value, grower.Wishes.HoldUntil!.Value, grower.Wishes.FrostPasses, grower.Calendar));
        Place place = Assert.Single(await site.Store.Book.LoadPlacesAsync(default));
        Assert.Equal((47.51234, 8.70123, 440, 0.7, -1.5), (place.Site.LatitudeDeg, place.Site.LongitudeDeg, place.Site.ElevationM, place.Site.ShelterWindFrac, place.Site.FrostOffsetK));
        Assert.NotEmpty(place.Assumed);
        Person person = (await site.Store.People.FindAsync(Newcomer, default))!;
        Assert.NotNull(person.AskedAt);
        Assert.NotNull(person.ConfirmedAt);
    }

    [Fact]
    public async Task Nothing_is_kept_of_an_address_that_was_not_confirmed_and_only_one_mail_goes_to_it_in_a_quarter_of_an_hour()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        for (int i = 0; i < 3; i++)
        {
            using Browser browser = site.Browse();
            Assert.Equal("/sign-in/sent", (await browser.PressAsync("/subscribe", "/subscribe", ("address", Newcomer))).LeadsTo);
        }

        string mail = await site.MailTextAsync(Newcomer);
        Assert.Contains("confirms", mail, StringComparison.Ordinal);
        await Task.Delay(40, TestContext.Current.CancellationToken);
        Assert.Single(site.MailsTo(Newcomer));
        Assert.Null(await site.Store.People.FindAsync(Newcomer, default));
        using Browser other = site.Browse();
        await other.PressAsync("/sign-in", "/sign-in", ("address", Newcomer));
        await Task.Delay(40, TestContext.Current.CancellationToken);
        Assert.Single(site.MailsTo(Newcomer));
    }

    [Fact]
    public async Task Who_is_here_already_gets_a_link_to_sign_in_and_the_same_answer()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        Shown known = await browser.PressAsync("/subscribe", "/subscribe", ("address", SiteHarness.Mara));
        Shown unknown = await browser.PressAsync("/subscribe", "/subscribe", ("address", Newcomer));
        Assert.Equal((known.Status, known.LeadsTo), (unknown.Status, unknown.LeadsTo));
        Assert.Contains("/sign-in/", await site.MailTextAsync(SiteHarness.Mara), StringComparison.Ordinal);
        Assert.Contains("/subscribe/", await site.MailTextAsync(Newcomer), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Where_subscriptions_are_closed_nobody_gets_in()
    {
        await using SiteHarness site = await SiteHarness.StartAsync(string.Empty);
        using Browser browser = site.Browse();
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.LookAsync("/subscribe")).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.PressAsync("/sign-in", "/subscribe", ("address", Newcomer))).Status);
        Assert.DoesNotContain("href=\"/subscribe\"", (await browser.OpenAsync("/sign-in")).Text, StringComparison.Ordinal);
        await Task.Delay(40, TestContext.Current.CancellationToken);
        Assert.Empty(site.Mail.Received);
    }

    [Fact]
    public async Task A_form_with_faults_comes_back_as_it_was_with_each_fault_beside_its_field()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await ConfirmedAsync(site, Newcomer);
        Shown shown = await browser.PressAsync("/subscribe/place", "/subscribe/place", [.. Place.Select(field => field.Name switch
        {
            "where" => (field.Name, "somewhere <b>nice</b>"),
            "elevation" => (field.Name, "90000"),
            "hour" => (field.Name, "25:00"),
            "hold-until" => (field.Name, string.Empty),
            "zone" => (field.Name, "Europe/Nowhere"),
            "name" => (field.Name, "mara"),
            "place" => (field.Name, "sorrel bank"),
            _ => field,
        })]);
        Assert.Equal(HttpStatusCode.OK, shown.Status);
        Assert.Equal(6, shown.Text.Split("class=\"fault\"").Length - 1);
        Assert.Contains("value=\"somewhere &lt;b&gt;nice&lt;/b&gt;\"", shown.Text, StringComparison.Ordinal);
        Assert.Contains("aria-describedby=\"h-where w-where\"", shown.Text, StringComparison.Ordinal);
        Assert.Contains("Somebody here goes by that name", shown.Plain, StringComparison.Ordinal);
        Assert.Empty(await site.Store.Book.LoadGrowersAsync(default));
    }

    [Fact]
    public async Task Names_of_others_places_cannot_be_taken()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await ConfirmedAsync(site, Newcomer);
        Shown shown = await browser.PressAsync("/subscribe/place", "/subscribe/place", [.. Place.Select(field => field.Name == "place" ? (field.Name, "sorrel bank") : field)]);
        Assert.Contains("sorrel bank, Jonas", shown.Plain, StringComparison.Ordinal);
        Assert.Empty(await site.Store.Book.LoadPlacesAsync(default));
    }

    [Theory]
    [InlineData("name")]
    [InlineData("place")]
    public async Task Markup_and_line_ends_in_a_name_stay_text(string field)
    {
        const string Hostile = "<script>alert('x')</script>\"><img src=x>";
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await ConfirmedAsync(site, Newcomer);
        Shown refused = await browser.PressAsync("/subscribe/place", "/subscribe/place", [.. Place.Select(each => each.Name == field ? (field, "a\r\nBcc: eve@example.org") : each)]);
        Assert.Equal(HttpStatusCode.OK, refused.Status);
        Shown kept = await browser.PressAsync("/subscribe/place", "/subscribe/place", [.. Place.Select(each => each.Name == field ? (field, Hostile) : each)]);
        Assert.Equal("/you?said=subscribed", kept.LeadsTo);
        Shown you = await browser.OpenAsync("/you");
        Assert.Contains(Hostile, you.Plain.Replace("  ", " ", StringComparison.Ordinal), StringComparison.Ordinal);
        Assert.DoesNotContain("<script>alert", you.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("<img", you.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_letter_of_a_subscriber_comes_in_the_morning()
    {
        await using SiteHarness site = await SiteHarness.StartAsync("subscriptions = true\npublic_address = \"http://127.0.0.1:8620\"");
        using Browser browser = await ConfirmedAsync(site, Newcomer);
        await browser.PressAsync("/subscribe/place", "/subscribe/place", Place);
        await site.UntilAsync("2026-05-12T03:50:00Z");
        await site.WaitAsync(() => site.MailsTo(Newcomer).Count > 1, "the letter");
        Assert.Contains("Tue 12 May", site.MailsTo(Newcomer)[^1].Parse().Subject, StringComparison.Ordinal);
    }

    internal static async Task<Browser> ConfirmedAsync(SiteHarness site, string address)
    {
        Browser browser = site.Browse();
        await browser.PressAsync("/subscribe", "/subscribe", ("address", address));
        string link = Browser.LinkIn(await site.MailTextAsync(address));
        Assert.Equal("/", (await browser.PressAsync(link, link)).LeadsTo);
        return browser;
    }

    internal static async Task<Browser> SubscribedAsync(SiteHarness site, string address)
    {
        Browser browser = await ConfirmedAsync(site, address);
        Assert.Equal("/you?said=subscribed", (await browser.PressAsync("/subscribe/place", "/subscribe/place", [.. Place.Select(field => field.Name == "language" ? (field.Name, "en") : field)])).LeadsTo);
        return browser;
    }
}

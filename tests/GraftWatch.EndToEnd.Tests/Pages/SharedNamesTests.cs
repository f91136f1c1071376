using System.Net;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class SharedNamesTests
{
    private const string Jonas = "jonas@hollowfield.example";
    private const string Edda = "edda@millmeadow.example";

    private static readonly (string, string)[] Elsewhere = [("where", "40.0, 8.8"), ("elevation", "610"), ("shelter", "walled"), ("zone", "Europe/Rome")];

    [Fact]
    public async Task Of_two_who_subscribe_at_once_under_one_name_one_is_told_to_take_another_and_leaves_no_place()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser one = await SubscribeTests.ConfirmedAsync(site, Jonas);
        using Browser two = await SubscribeTests.ConfirmedAsync(site, Edda);
        Shown[] shown = await Task.WhenAll(SubscribeAsync(one, "Sam", "Hollow Field"), SubscribeAsync(two, "SAM", "Mill Meadow"));
        Shown refused = Assert.Single(shown, each => each.LeadsTo is null);
        Assert.Contains("Somebody here goes by that name", refused.Plain, StringComparison.Ordinal);
        string address = Assert.Single(await site.Store.Book.LoadGrowersAsync(default)).Address;
        Assert.Single(await site.Store.Book.LoadPlacesAsync(default));

        Browser loser = address == Jonas ? two : one;
        Assert.Equal("/you?said=subscribed", (await SubscribeAsync(loser, "Sam Reed", address == Jonas ? "Mill Meadow" : "Hollow Field")).LeadsTo);
    }

    [Fact]
    public async Task A_form_that_is_sent_twice_at_once_subscribes_once_and_asks_nothing_more()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.ConfirmedAsync(site, Jonas);
        Shown[] shown = await Task.WhenAll(SubscribeAsync(browser, "Sam", "Hollow Field"), SubscribeAsync(browser, "Sam", "Hollow Field"));
        Assert.All(shown, each => Assert.StartsWith("/you", each.LeadsTo, StringComparison.Ordinal));
        Assert.Single(await site.Store.Book.LoadGrowersAsync(default));
    }

    [Fact]
    public async Task A_place_that_another_grower_has_is_the_operators_to_change()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Assert.Equal(HttpStatusCode.OK, (await browser.LookAsync("/you/place?name=Hollow%20Field")).Status);
        await site.Store.Book.JoinAsync(new Joining(new Grower("Edda", Edda, DateTimeZone.Utc, new LocalTime(6, 0), UnitSystem.Metric, ["Hollow Field"]), null, [], null), default);
        Assert.Contains("only the operator changes it", (await browser.LookAsync("/you/place?name=Hollow%20Field")).Plain, StringComparison.Ordinal);
        Shown refused = await browser.PressAsync("/you", "/you/place", [("name", "Hollow Field"), .. Elsewhere]);
        Assert.Equal(HttpStatusCode.Forbidden, refused.Status);
        Assert.Contains("only the operator changes it", refused.Plain, StringComparison.Ordinal);
        Assert.Equal(440, Assert.Single(await site.Store.Book.LoadPlacesAsync(default)).Site.ElevationM);
    }

    [Fact]
    public async Task A_place_of_the_settings_file_is_the_operators_to_change()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await GrowerRig.AddGrowerAsync(site, "Jonas", Jonas);
        using Browser browser = await site.SignInAsync(Jonas);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.PressAsync("/you", "/you/place", [("name", "Sorrel Bank"), .. Elsewhere])).Status);
        Assert.Empty(await site.Store.Book.LoadPlacesAsync(default));
        Assert.Equal("Europe/Berlin", Assert.Single(await site.Store.Book.LoadGrowersAsync(default)).Zone.Id);
    }

    [Fact]
    public async Task Who_is_deleted_takes_no_weather_of_a_place_of_the_settings_file_along()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await GrowerRig.AddGrowerAsync(site, "Jonas", Jonas);
        await site.UntilAsync("2026-05-12T01:05:00Z");
        Assert.NotNull(await site.Store.History.LoadAsync("Sorrel Bank", site.Now, default));
        using Browser browser = await site.SignInAsync(Jonas);
        Assert.Equal("/sign-in?said=deleted", (await browser.PressAsync("/you/delete", "/you/delete", ("address", Jonas))).LeadsTo);
        Assert.Empty(await site.Store.Book.LoadGrowersAsync(default));
        Assert.NotNull(await site.Store.History.LoadAsync("Sorrel Bank", site.Now, default));
    }

    [Fact]
    public async Task Who_is_deleted_writes_an_address()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Shown shown = await browser.PressAsync("/you/delete", "/you/delete", ("address", string.Empty));
        Assert.Equal(HttpStatusCode.OK, shown.Status);
        Assert.Contains("class=\"fault\"", shown.Text, StringComparison.Ordinal);
        Assert.Single(await site.Store.Book.LoadGrowersAsync(default));
    }

    private static Task<Shown> SubscribeAsync(Browser browser, string name, string place) => browser.PressAsync(
        "/subscribe/place",
        "/subscribe/place",
        ("name", name),
        ("place", place),
        ("where", "47.51234, 8.70123"),
        ("elevation", "440"),
        ("shelter", "open"),
        ("zone", string.Empty),
        ("hour", "05:45"),
        ("units", "metric"),
        ("language", "en"));
}

using System.Net;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class OperatorGrowerTests
{
    private static readonly DateTimeZone Berlin = DateTimeZoneProviders.Tzdb["Europe/Berlin"];

    [Theory]
    [InlineData("/operator")]
    [InlineData("/operator/growers")]
    [InlineData("/operator/growers/all")]
    [InlineData("/operator/growers/new")]
    [InlineData("/operator/growers/one?name=Mara")]
    [InlineData("/operator/letters")]
    [InlineData("/operator/letters/1")]
    [InlineData("/operator/weather")]
    [InlineData("/operator/settings")]
    public async Task A_stranger_is_led_to_sign_in_and_a_grower_is_refused(string path)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser stranger = site.Browse();
        Assert.Equal("/sign-in?to=" + Uri.EscapeDataString(path), (await stranger.LookAsync(path)).LeadsTo);
        using Browser grower = await site.SignInAsync(SiteHarness.Mara);
        Assert.Equal(HttpStatusCode.Forbidden, (await grower.LookAsync(path)).Status);
    }

    [Theory]
    [InlineData("/operator/growers/pause")]
    [InlineData("/operator/growers/resume")]
    [InlineData("/operator/growers/pause-all")]
    [InlineData("/operator/growers/resume-all")]
    [InlineData("/operator/growers/test-letter")]
    [InlineData("/operator/growers/new")]
    [InlineData("/operator/check")]
    public async Task Nothing_is_done_for_a_stranger_a_grower_a_forged_form_or_a_form_from_elsewhere(string path)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser stranger = site.Browse();
        string foreign = (await stranger.OpenAsync("/sign-in")).FormToken;
        Assert.Equal("/sign-in", (await stranger.PostAsync(path, ("_form", foreign), ("name", "Mara"))).LeadsTo);
        using Browser grower = await site.SignInAsync(SiteHarness.Mara);
        string own = (await grower.OpenAsync("/sign-in")).FormToken;
        Assert.Equal(HttpStatusCode.Forbidden, (await grower.PostAsync(path, ("_form", own), ("name", "Mara"))).Status);
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        string good = (await runs.OpenAsync("/operator/growers/all")).FormToken;
        Assert.Equal(HttpStatusCode.Forbidden, (await runs.PostAsync(path, ("_form", foreign), ("name", "Mara"))).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await runs.PostAsync(path, ("name", "Mara"))).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await runs.PostAsync(path, "cross-site", [("_form", good), ("name", "Mara")])).Status);
        Assert.Empty(await site.Store.Stops.LoadStopsAsync(default));
        Assert.Equal(HttpStatusCode.MethodNotAllowed, path.EndsWith("/new", StringComparison.Ordinal) ? HttpStatusCode.MethodNotAllowed : (await runs.LookAsync(path)).Status);
    }

    [Fact]
    public async Task Letters_of_one_are_paused_and_resumed_by_a_button()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Shown page = await runs.OpenAsync("/operator/growers/one?name=Mara");
        Assert.Contains("go out", page.Plain, StringComparison.Ordinal);
        Assert.Contains("16 grafts", page.Plain, StringComparison.Ordinal);

        Shown paused = await runs.PressAsync("/operator/growers/one?name=Mara", "/operator/growers/pause", ("name", "Mara"));
        Assert.Equal("/operator/growers/one?name=Mara&said=letters-paused", paused.LeadsTo);
        GrowerStop stop = Assert.Single(await site.Store.Stops.LoadStopsAsync(default));
        Assert.Equal(new GrowerStop("Mara", site.Now, StoppedBy.Operator), stop);
        Assert.Contains("paused since Tue 12 May, 03:00", (await runs.OpenAsync(paused.LeadsTo!)).Plain.Replace('\u00A0', ' '), StringComparison.Ordinal);
        Assert.Contains("Nobody gets letters", (await runs.OpenAsync("/operator")).Plain, StringComparison.Ordinal);

        await runs.PressAsync("/operator/growers/one?name=Mara", "/operator/growers/resume", ("name", "Mara"));
        Assert.Empty(await site.Store.Stops.LoadStopsAsync(default));
        Assert.Equal(HttpStatusCode.NotFound, (await runs.PressAsync("/operator/growers", "/operator/growers/pause", ("name", "Nobody"))).Status);
    }

    [Fact]
    public async Task Everybody_is_paused_and_resumed_and_who_left_by_themselves_stays_away()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await FillAsync(site, 120);
        await site.Store.Stops.StopAsync("Grower 007", StoppedBy.Grower, site.Now, default);
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Assert.Equal("/operator/growers?said=all-paused", (await runs.PressAsync("/operator/growers/all", "/operator/growers/pause-all")).LeadsTo);
        Assert.Equal(121, (await site.Store.Stops.LoadStopsAsync(default)).Count);
        Assert.Equal("/operator/growers?said=all-resumed", (await runs.PressAsync("/operator/growers/all", "/operator/growers/resume-all")).LeadsTo);
        Assert.Equal("Grower 007", Assert.Single(await site.Store.Stops.LoadStopsAsync(default)).Grower);
    }

    [Fact]
    public async Task The_list_is_paged_and_searched_and_a_name_with_markup_stays_text()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await FillAsync(site, 120);
        const string Evil = "<script>alert(1)</script> & \"Co\"";
        await site.Store.Book.SaveGrowerAsync(new Grower(Evil, "evil@sorrelbank.example", Berlin, new LocalTime(6, 0), UnitSystem.Metric, ["Sorrel Bank"]), default);
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Shown first = await runs.OpenAsync("/operator/growers");
        Assert.Contains("1 of 3", first.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("<script>alert", first.Text, StringComparison.Ordinal);
        Assert.Contains(WebUtility.HtmlEncode("<script>alert(1)").Replace("&#39;", "'", StringComparison.Ordinal), first.Text, StringComparison.Ordinal);
        Shown third = await runs.OpenAsync("/operator/growers?page=3");
        Assert.Contains("Mara", third.Plain, StringComparison.Ordinal);
        Shown found = await runs.OpenAsync("/operator/growers?find=GROWER%20011");
        Assert.Contains("Grower 011", found.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("Grower 012", found.Plain, StringComparison.Ordinal);
        Shown own = await runs.OpenAsync("/operator/growers/one?name=" + Uri.EscapeDataString(Evil));
        Assert.Equal(HttpStatusCode.OK, own.Status);
        Assert.DoesNotContain("<script>alert", own.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_grower_is_added_with_a_new_place_and_can_be_seen_at_once()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Shown added = await runs.PressAsync(
            "/operator/growers/new", "/operator/growers/new", ("name", "Ilse Brandt"), ("address", "Ilse@Example.org"), ("hour", "05:45"), ("units", "us"), ("known", string.Empty),
            ("place", "Birkenhang"), ("where", "https://maps.example.org/#map=15/51.24012/7.41034"), ("elevation", "182"), ("zone", string.Empty));
        Assert.Equal("/operator/growers/one?name=Ilse%20Brandt&said=grower-added", added.LeadsTo);
        Grower grower = Assert.Single(await site.Store.Book.LoadGrowersAsync(default));
        Assert.Equal(("Ilse Brandt", "ilse@example.org", new LocalTime(5, 45), UnitSystem.UnitedStates, "Europe/Berlin"), (grower.Name, grower.Address, grower.LetterTime, grower.Units, grower.Zone.Id));
        Aftercare.Grafts.Place place = Assert.Single(await site.Store.Book.LoadPlacesAsync(default));
        Assert.Equal(("Birkenhang", 51.24012, 7.41034, 182.0), (place.Name, place.Site.LatitudeDeg, place.Site.LongitudeDeg, place.Site.ElevationM));
        Assert.Contains("Ilse Brandt", (await runs.OpenAsync(added.LeadsTo!)).Plain, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("name", "MARA", "There is a grower of this name")]
    [InlineData("name", "", "Please fill this in")]
    [InlineData("name", "a\u0007b", "cannot be kept")]
    [InlineData("address", "mara@sorrelbank.example", "gets letters at this address already")]
    [InlineData("address", "no address", "not a mail address")]
    [InlineData("address", "a@example.org\r\nBcc: b@example.org", "cannot be kept")]
    [InlineData("hour", "25:00", "An hour such as")]
    [InlineData("units", "cubits", "choose one of the list")]
    [InlineData("known", "Nowhere", "choose one of the list")]
    [InlineData("where", "somewhere", "No position can be read")]
    [InlineData("elevation", "12000", "Between")]
    [InlineData("zone", "Europe/Atlantis", "no such time zone")]
    [InlineData("place", "sorrel bank", "There is a place of this name")]
    public async Task What_is_wrong_with_a_new_grower_is_said_beside_the_field_and_nothing_is_kept(string field, string value, string says)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Dictionary<string, string> fields = new()
        {
            ["name"] = "Ilse",
            ["address"] = "ilse@example.org",
            ["hour"] = "06:00",
            ["units"] = "metric",
            ["known"] = string.Empty,
            ["place"] = "Hang",
            ["where"] = "51.2, 7.4",
            ["elevation"] = "180",
            ["zone"] = string.Empty,
        };
        fields[field] = value;
        Shown shown = await runs.PressAsync("/operator/growers/new", "/operator/growers/new", [.. fields.Select(pair => (pair.Key, pair.Value))]);
        Assert.Equal(HttpStatusCode.OK, shown.Status);
        Assert.Contains("One field wants mending", shown.Plain, StringComparison.Ordinal);
        Assert.Contains(says, shown.Plain, StringComparison.Ordinal);
        Assert.Empty(await site.Store.Book.LoadGrowersAsync(default));
    }

    [Fact]
    public async Task A_form_of_the_operator_that_is_too_large_is_refused()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, (await runs.PressAsync("/operator/growers/new", "/operator/growers/new", ("name", new string('x', 70_000)))).Status);
    }

    private static async Task FillAsync(SiteHarness site, int count)
    {
        for (int number = 1; number <= count; number++)
        {
            await site.Store.Book.SaveGrowerAsync(
                new Grower($"Grower {number:000}", $"grower{number:000}@sorrelbank.example", Berlin, new LocalTime(6, 0), UnitSystem.Metric, ["Sorrel Bank"]), default);
        }
    }
}

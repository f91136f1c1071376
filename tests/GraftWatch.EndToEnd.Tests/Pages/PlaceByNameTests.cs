using System.Net;
using System.Net.Sockets;
using System.Text;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.People;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.EndToEnd.Tests.Pages;

/// <summary>Places found by name: a geocoder that answers as Open-Meteo's geocoding API does (its reply read in github open-meteo/geocoding-api @ 655cd153).</summary>
public sealed class PlaceByNameTests : IDisposable
{
    private const string Jonas = "jonas@hollowfield.example";

    private const string TwoHits =
        """
        {"results":[
          {"id":1,"name":"Haselbach","latitude":47.91234,"longitude":9.31001,"elevation":588.0,"feature_code":"PPL","country_code":"DE","timezone":"Europe/Berlin","country":"Germany","admin1":"Baden-Württemberg"},
          {"id":2,"name":"Haselbach","latitude":48.2,"longitude":13.1,"country_code":"AT","timezone":"Europe/Vienna","country":"Austria"}
        ],"generationtime_ms":0.7}
        """;

    private static readonly (string Name, string Value)[] Half = [("place", string.Empty), ("where", string.Empty), ("elevation", string.Empty), ("shelter", "walled"), ("frost", "-1,5"), ("zone", "Europe/Paris")];

    private readonly WireMockServer geocoder = WireMockServer.Start();

    private string Address => $"http://127.0.0.1:{geocoder.Ports[0]}";

    private string Page => $"subscriptions = true\ngeocoder = \"{Address}\"";

    public void Dispose() => geocoder.Dispose();

    [Fact]
    public async Task A_place_is_searched_chosen_filled_in_and_only_then_kept()
    {
        Answers(TwoHits);
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Assert.Contains("to 127.0.0.1, and nothing else", (await browser.OpenAsync("/you/place")).Plain, StringComparison.Ordinal);
        Assert.Empty(geocoder.LogEntries);

        Shown hits = await SearchAsync(browser, "Hasel bäch & Co");
        Assert.Equal("Hasel bäch & Co", Assert.Single(geocoder.LogEntries).RequestMessage!.Query!["name"].Single());
        Assert.Contains("Haselbach, Baden-Württemberg, Germany · 588 m · Europe/Berlin", hits.Plain.Replace('\u00A0', ' '), StringComparison.Ordinal);
        Assert.Contains("Haselbach, Austria · height not known · Europe/Vienna", hits.Plain, StringComparison.Ordinal);
        Assert.Contains("name=\"frost\" value=\"-1,5\"", hits.Text, StringComparison.Ordinal);

        string value = WebUtility.HtmlDecode(System.Text.RegularExpressions.Regex.Match(hits.Text, "name=\"pick\" value=\"([^\"]+)\"").Groups[1].Value);
        Shown filled = await browser.PressAsync("/you/place", "/you/place", [.. Half, ("find", "Hasel"), ("pick", value)]);
        foreach (string field in (string[])["name=\"place\" value=\"Haselbach\"", "name=\"where\" value=\"47.91234, 9.31001\"", "name=\"elevation\" value=\"588 m\"", "name=\"zone\" value=\"Europe/Berlin\"", "name=\"frost\" value=\"-1,5\""])
        {
            Assert.Contains(field, filled.Text, StringComparison.Ordinal);
        }

        Assert.DoesNotContain("class=\"fault\"", filled.Text, StringComparison.Ordinal);
        Assert.Single(await site.Store.Book.LoadPlacesAsync(default));
        Shown kept = await browser.PressAsync("/you/place", "/you/place", ("place", "Haselbach"), ("where", "47.91234, 9.31001"), ("elevation", "588 m"), ("shelter", "walled"), ("zone", "Europe/Berlin"), ("find", string.Empty));
        Assert.Equal("/you?said=kept", kept.LeadsTo);
        Place place = (await site.Store.Book.LoadPlacesAsync(default)).Single(each => each.Name == "Haselbach");
        Assert.Equal((47.91234, 588, "Europe/Berlin"), (place.Site.LatitudeDeg, place.Site.ElevationM, place.Zone.Id));
        Assert.Single(geocoder.LogEntries);
    }

    [Fact]
    public async Task A_newcomer_and_the_operator_search_in_their_forms_too_in_their_language()
    {
        Answers(TwoHits);
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser newcomer = await SubscribeTests.ConfirmedAsync(site, Jonas);
        Shown hits = await newcomer.PressAsync("/subscribe/place", "/subscribe/place", ("name", "Jonas"), ("find", "Haselbach"), ("search", "yes"), ("hour", "05:45"), ("units", "us"));
        Assert.Contains("name=\"pick\"", hits.Text, StringComparison.Ordinal);
        Assert.Contains("name=\"hour\" value=\"05:45\"", hits.Text, StringComparison.Ordinal);
        Assert.Empty(await site.Store.Book.LoadGrowersAsync(default));

        using Browser runs = await site.SignInAsync(SiteHarness.Operator, "de");
        Shown filled = await runs.PressAsync("/operator/growers/new", "/operator/growers/new", ("name", "Ada"), ("find", "Haselbach"), ("pick", "47.91234;9.31001;588;Europe/Berlin;Haselbach"));
        Assert.Contains("name=\"elevation\" value=\"588\"", filled.Text, StringComparison.Ordinal);
        Assert.Contains("Haselbach ist unten ausgefüllt", filled.Plain, StringComparison.Ordinal);
        await runs.PressAsync("/operator/growers/new", "/operator/growers/new", ("find", "Haselbach"), ("search", "yes"));
        Assert.Equal("de", geocoder.LogEntries[^1].RequestMessage!.Query!["language"].Single());
    }

    [Fact]
    public async Task Without_a_geocoder_the_form_offers_none_and_asks_none()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Assert.DoesNotContain("name=\"find\"", (await browser.OpenAsync("/you/place")).Text, StringComparison.Ordinal);
        Shown shown = await SearchAsync(browser, "Haselbach");
        Assert.Contains("class=\"fault\"", shown.Text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(200, "no json at all", "but not with places")]
    [InlineData(200, "[1,2,3]", "but not with places")]
    [InlineData(200, "{\"results\":{\"name\":\"x\"}}", "but not with places")]
    [InlineData(200, "{\"results\":[", "but not with places")]
    [InlineData(200, "{\"generationtime_ms\":0.5}", "knows no place of that name")]
    [InlineData(200, "{\"results\":[]}", "knows no place of that name")]
    [InlineData(200, "{\"results\":[7,null,{\"name\":5},{\"name\":\"\\ud800\",\"latitude\":1,\"longitude\":1},{\"name\":\"x\",\"latitude\":91,\"longitude\":1},{\"name\":\"x\",\"latitude\":1e400,\"longitude\":1},{\"name\":\"x\",\"latitude\":\"1\",\"longitude\":1}]}", "knows no place of that name")]
    [InlineData(400, "{\"error\":true,\"reason\":\"<script>alert(1)</script>\"}", "did not answer")]
    [InlineData(429, "", "did not answer")]
    [InlineData(502, "<html>", "did not answer")]
    public async Task Whatever_comes_back_a_sentence_says_so_and_what_was_typed_still_stands(int status, string body, string sentence)
    {
        Answers(body, status);
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Shown shown = await SearchAsync(browser, "Haselbach");
        Assert.Equal(HttpStatusCode.OK, shown.Status);
        Assert.Contains(sentence, shown.Plain, StringComparison.Ordinal);
        Assert.Contains("name=\"find\" value=\"Haselbach\"", shown.Text, StringComparison.Ordinal);
        Assert.Contains("name=\"frost\" value=\"-1,5\"", shown.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("<script>alert", shown.Text, StringComparison.Ordinal);
        Assert.DoesNotContain(site.LogLines, line => line.Contains("Haselbach", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_reply_beyond_all_measure_is_not_read_to_its_end()
    {
        Answers("{\"results\":[" + string.Join(',', Enumerable.Repeat("{\"name\":\"x\",\"latitude\":1,\"longitude\":1}", 20_000)) + "]}");
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Assert.Contains("but not with places", (await SearchAsync(browser, "Haselbach")).Plain, StringComparison.Ordinal);
        Assert.Contains(site.LogLines, line => line.Contains("PlaceSearchFailed", StringComparison.Ordinal) && line.Contains("more than 256 kB", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Five_hundred_hits_are_ten_and_markup_in_them_is_text()
    {
        const string Hostile = "<img src=x onerror=alert(1)>\\\"'>";
        Answers("{\"results\":[" + string.Join(',', Enumerable.Range(0, 500).Select(i => $"{{\"name\":\"{Hostile}{i}\",\"latitude\":1,\"longitude\":{i % 180},\"elevation\":99999,\"timezone\":\"<b>\",\"country\":\"\\u202Ettub\",\"admin1\":\"{new string('a', 200)}\"}}")) + "]}");
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Shown shown = await SearchAsync(browser, "Haselbach");
        Assert.Equal(10, shown.Text.Split("name=\"pick\"").Length - 1);
        Assert.DoesNotContain("<img", shown.Text, StringComparison.Ordinal);
        Assert.DoesNotContain('\u202E', shown.Text);
        Assert.Contains("ttub · height not known", shown.Plain, StringComparison.Ordinal);
        Assert.True(Encoding.UTF8.GetByteCount(shown.Text) < 50 * 1024);

        string value = WebUtility.HtmlDecode(System.Text.RegularExpressions.Regex.Match(shown.Text, "name=\"pick\" value=\"([^\"]+)\"").Groups[1].Value);
        Shown filled = await browser.PressAsync("/you/place", "/you/place", [.. Half, ("pick", value)]);
        Assert.DoesNotContain("<img", filled.Text, StringComparison.Ordinal);
        Assert.Contains("name=\"zone\" value", filled.Text, StringComparison.Ordinal);
        Assert.Contains("its height is not known", filled.Plain, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("nothing")]
    [InlineData("91;181;;;")]
    [InlineData(";;;;")]
    [InlineData("a;b;c;d;<script>alert(1)</script>")]
    public async Task A_forged_choice_fills_in_nothing(string value)
    {
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Shown shown = await browser.PressAsync("/you/place", "/you/place", [.. Half, ("pick", value)]);
        Assert.Contains("Nothing was searched", shown.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("<script>alert", shown.Text, StringComparison.Ordinal);
        Assert.Single(await site.Store.Book.LoadPlacesAsync(default));
    }

    [Fact]
    public async Task The_geocoder_cannot_send_us_elsewhere()
    {
        using var elsewhere = WireMockServer.Start();
        geocoder.Given(Request.Create()).RespondWith(Response.Create().WithStatusCode(302).WithHeader("Location", elsewhere.Urls[0]));
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Assert.Contains("did not answer", (await SearchAsync(browser, "Haselbach")).Plain, StringComparison.Ordinal);
        Assert.Empty(elsewhere.LogEntries);
    }

    [Fact]
    public async Task Searches_are_counted_by_session_and_nothing_is_sent_without_our_form()
    {
        Answers(TwoHits);
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        using Browser stranger = site.Browse();
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.PostAsync("/you/place", [("find", "Haselbach"), ("search", "yes")])).Status);
        Assert.StartsWith("/sign-in", (await stranger.PressAsync("/sign-in", "/you/place", ("find", "Haselbach"), ("search", "yes"))).LeadsTo, StringComparison.Ordinal);
        await browser.OpenAsync("/you/place?find=Haselbach&search=yes");
        Assert.Empty(geocoder.LogEntries);
        Shown last = await SearchAsync(browser, "Haselbach");
        for (int i = 0; i < 30 && last.Text.Contains("name=\"pick\"", StringComparison.Ordinal); i++)
        {
            last = await SearchAsync(browser, "Haselbach");
        }

        Assert.Contains("many searches in a short time", last.Plain, StringComparison.Ordinal);
        Assert.InRange(geocoder.LogEntries.Count, 12, 20);
    }

    [Theory]
    [InlineData("x")]
    [InlineData("Hasel\u0001bach")]
    public async Task What_is_no_name_is_not_sent(string typed)
    {
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Assert.Contains("class=\"fault\"", (await SearchAsync(browser, typed)).Text, StringComparison.Ordinal);
        Assert.Empty(geocoder.LogEntries);
    }

    // glibc resolves the name with its final point to this machine; the guard sees what it leads to.
    [Fact]
    public async Task A_name_that_leads_inside_is_not_asked()
    {
        Answers(TwoHits);
        using var search = new PlaceSearch(TimeProvider.System, NullLogger<PlaceSearch>.Instance);
        PlaceSearchResult result = await search.AskAsync(new Uri($"http://localhost.:{geocoder.Ports[0]}"), "Haselbach", "en", TestContext.Current.CancellationToken);
        Assert.Equal(PlaceSearchTrouble.NoAnswer, Assert.IsType<PlaceSearchResult.Failed>(result).Why);
        Assert.Empty(geocoder.LogEntries);
        Assert.IsType<PlaceSearchResult.Found>(await search.AskAsync(new Uri(Address), "Haselbach", "en", TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Who_never_answers_is_waited_for_eight_seconds()
    {
        var clock = new FakeTimeProvider();
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        using var search = new PlaceSearch(clock, NullLogger<PlaceSearch>.Instance);
        Task<PlaceSearchResult> asked = search.AskAsync(new Uri($"http://127.0.0.1:{((IPEndPoint)listener.LocalEndpoint).Port}"), "Haselbach", "en", TestContext.Current.CancellationToken);
        using TcpClient caller = await listener.AcceptTcpClientAsync(TestContext.Current.CancellationToken);
        clock.Advance(TimeSpan.FromSeconds(7));
        Assert.False(asked.IsCompleted);
        clock.Advance(TimeSpan.FromSeconds(2));
        Assert.IsType<PlaceSearchResult.Failed>(await asked);
    }

    [Fact]
    public async Task The_first_start_finds_its_place_by_name_and_asks_nobody_before()
    {
        Answers(TwoHits);
        await using FirstStartRig rig = await FirstStartRig.StartAsync(new Uri(Address));
        using var browser = new Browser(rig.Address, "en");
        await browser.PressAsync("/?code=" + rig.Code, "/first-start", ("code", rig.Code));
        Assert.Contains("to 127.0.0.1, and nothing else", (await browser.OpenAsync("/first-start/place")).Plain, StringComparison.Ordinal);
        Assert.Empty(geocoder.LogEntries);
        Shown hits = await browser.PressAsync("/first-start/place", "/first-start/place", ("place", "Home"), ("find", "Haselbach"), ("search", "yes"));
        Assert.Contains("Haselbach, Austria", hits.Plain, StringComparison.Ordinal);
        Shown filled = await browser.PressAsync("/first-start/place", "/first-start/place", ("place", "Home"), ("pick", "47.91234;9.31001;588;Europe/Berlin;Haselbach"));
        Assert.Contains("name=\"elevation\" value=\"588\"", filled.Text, StringComparison.Ordinal);
        Assert.Contains("name=\"zone\" value=\"Europe/Berlin\"", filled.Text, StringComparison.Ordinal);
    }

    private static Task<Shown> SearchAsync(Browser browser, string name) => browser.PressAsync("/you/place", "/you/place", [.. Half, ("find", name), ("search", "yes")]);

    private void Answers(string body, int status = 200) =>
        geocoder.Given(Request.Create().WithPath("/v1/search").UsingGet()).RespondWith(Response.Create().WithStatusCode(status).WithHeader("Content-Type", "application/json").WithBody(body));
}

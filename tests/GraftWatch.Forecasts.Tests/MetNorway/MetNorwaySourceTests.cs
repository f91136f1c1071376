using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.MetNorway;
using GraftWatch.Forecasts.Tests.OpenForecast;
using NodaTime;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.Forecasts.Tests.MetNorway;

public sealed class MetNorwaySourceTests : IDisposable
{
    private const string Modified = "Wed, 22 Apr 2026 03:12:40 GMT";
    private static readonly Instant Now = Instant.FromUtc(2026, 4, 22, 4, 30);
    private static readonly Place Fjord = Stub.Place("Fjord", 60.123456, 9.583456, 496);
    private readonly WireMockServer server = WireMockServer.Start();
    private readonly InMemoryReplyStore store = new();

    public void Dispose() => server.Dispose();

    [Fact]
    public async Task The_request_names_us_and_has_at_most_four_decimals()
    {
        Always(200, Sample.Text("met-norway-frost-morning.json"));
        PlaceWeather got = await FetchAsync();
        Assert.Null(got.Trouble);
        Assert.Equal(Instant.FromUtc(2026, 4, 22, 3, 12, 40), got.Forecast.IssuedAt);
        Assert.Contains("MET Norway", got.Forecast.Credit, StringComparison.Ordinal);
        var request = server.LogEntries.Single().RequestMessage!;
        Assert.EndsWith("/weatherapi/locationforecast/2.0/complete?lat=60.123&lon=9.583&altitude=496", request.Url, StringComparison.Ordinal);
        Assert.Equal(Services.Contact, request.Headers!["User-Agent"].Single());
        Assert.Contains("gzip", request.Headers["Accept-Encoding"].Single(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Without_a_contact_nobody_is_asked()
    {
        PlaceWeather got = await FetchAsync(o => o with { UserAgent = "GraftWatch" });
        Assert.Contains("set a contact", got.Trouble, StringComparison.Ordinal);
        Assert.Empty(server.LogEntries);
    }

    [Fact]
    public async Task Before_it_expires_a_kept_reply_is_used_without_asking_also_after_a_restart()
    {
        Always(200, Sample.Text("met-norway-frost-morning.json"), "Wed, 22 Apr 2026 05:00:00 GMT");
        await FetchAsync();
        PlaceWeather got = await FetchAsync();
        Assert.Equal(15, got.Weather!.Hours);
        Assert.Single(server.LogEntries);
    }

    [Fact]
    public async Task After_it_expires_the_service_is_asked_whether_anything_changed_with_its_own_words()
    {
        Always(200, Sample.Text("met-norway-frost-morning.json"), "Wed, 22 Apr 2026 04:00:00 GMT");
        await FetchAsync();
        server.Reset();
        server.Given(Request.Create().WithHeader("If-Modified-Since", Modified))
            .RespondWith(Response.Create().WithStatusCode(304).WithHeader("Expires", "Wed, 22 Apr 2026 05:00:00 GMT"));
        PlaceWeather got = await FetchAsync();
        Assert.Equal(15, got.Weather!.Hours);
        Assert.Single(server.LogEntries);

        // The 304 brought a new expiry.
        await FetchAsync();
        Assert.Single(server.LogEntries);
    }

    [Fact]
    public async Task Status_203_works_and_warns_that_the_product_ends()
    {
        Always(203, Sample.Text("met-norway-frost-morning.json"));
        Assert.Contains((await FetchAsync()).Forecast.Gaps, g => g.Contains("about to end", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(403, "blacklisted", 1, "check the key, the plan and the contact address")]
    [InlineData(429, "", 1, "has had too many requests")]
    [InlineData(400, "<html>bad</html>", 1, "finds fault with the request")]
    [InlineData(404, "", 1, "has nothing at this address or for this place")]
    [InlineData(422, "", 1, "finds fault with the request")]
    [InlineData(499, "", 1, "answered with status 499")]
    [InlineData(502, "", 2, "is in trouble (status 502)")]
    [InlineData(200, "{\"type\":\"Feature\"", 2, "is cut off")]
    public async Task Every_status_ends_in_a_sentence(int status, string body, int tries, string expected)
    {
        Always(status, body);
        Assert.Contains(expected, (await FetchAsync()).Trouble, StringComparison.Ordinal);
        Assert.Equal(tries, server.LogEntries.Count);
    }

    [Fact]
    public async Task A_redirect_inside_the_host_is_followed()
    {
        server.Given(Request.Create().WithPath("/weatherapi/locationforecast/2.0/complete")).RespondWith(Response.Create().WithStatusCode(301).WithHeader("Location", "/elsewhere?lat=1"));
        server.Given(Request.Create().WithPath("/elsewhere")).RespondWith(Response.Create().WithStatusCode(200).WithBody(Sample.Text("met-norway-frost-morning.json")));
        Assert.Null((await FetchAsync()).Trouble);
    }

    [Fact]
    public async Task A_redirect_to_another_host_is_not_followed()
    {
        server.Given(Request.Create()).RespondWith(Response.Create().WithStatusCode(302).WithHeader("Location", "http://elsewhere.invalid/x"));
        Assert.Contains("sends us elsewhere to elsewhere.invalid", (await FetchAsync()).Trouble, StringComparison.Ordinal);
    }

    private void Always(int status, string body, string expires = Modified) => server.Given(Request.Create())
        .RespondWith(Response.Create().WithStatusCode(status).WithBody(body).WithHeader("Last-Modified", Modified).WithHeader("Expires", expires));

    private Task<PlaceWeather> FetchAsync(Func<MetNorwayOptions, MetNorwayOptions>? change = null) =>
        Services.FetchAsync(s => s.AddMetNorway(change?.Invoke(Services.Met(server.Url!)) ?? Services.Met(server.Url!)), Fjord, Now, store);
}

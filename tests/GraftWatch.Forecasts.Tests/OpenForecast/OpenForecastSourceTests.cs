using System.Globalization;
using System.IO.Compression;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.DependencyInjection;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.Forecasts.Tests.OpenForecast;

public sealed class OpenForecastSourceTests : IDisposable
{
    private readonly WireMockServer server = WireMockServer.Start();

    public void Dispose() => server.Dispose();

    [Fact]
    public async Task A_good_reply_becomes_hours_with_credit_and_time_of_fetching()
    {
        Always(200, Sample.Text("open-frost-morning.json"));
        PlaceWeather got = await FetchAsync();
        Assert.Null(got.Trouble);
        Assert.Equal(6, got.Weather!.Hours);
        Assert.Equal(WeatherOrigin.Analysed, got.Weather.OriginOf(WeatherQuantity.AirC, 2));
        Assert.Equal(WeatherOrigin.Forecast, got.Weather.OriginOf(WeatherQuantity.AirC, 3));
        Assert.Equal("Open-Meteo", got.Forecast.Source);
        Assert.Contains("CC BY 4.0", got.Forecast.Credit, StringComparison.Ordinal);
        Assert.NotNull(got.Forecast.IssuedAt);
    }

    [Theory]
    [InlineData(".", "-")]
    [InlineData(",", "-")]
    [InlineData(",", "−")]
    public async Task The_request_is_the_same_whatever_the_culture(string decimalSeparator, string minus)
    {
        // The test host runs without culture data, so the cultures are shaped like de-DE and sv-SE by hand.
        var culture = (CultureInfo)CultureInfo.InvariantCulture.Clone();
        culture.NumberFormat.NumberDecimalSeparator = decimalSeparator;
        culture.NumberFormat.NegativeSign = minus;
        CultureInfo before = CultureInfo.CurrentCulture;
        CultureInfo.CurrentCulture = culture;
        try
        {
            Always(200, Sample.Text("open-frost-morning.json"));
            PlaceWeather got = await FetchAsync(place: Stub.Place("South", -33.456, -70.649, 521));
            Assert.Null(got.Trouble);
            Assert.Equal(-0.8, got.Weather![WeatherQuantity.AirC][3]);
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }

        string query = Uri.UnescapeDataString(new Uri(server.LogEntries.Single().RequestMessage!.Url!).Query);
        Assert.StartsWith("?latitude=-33.46&longitude=-70.65&elevation=520&hourly=temperature_2m,", query, StringComparison.Ordinal);
        Assert.Contains("&past_days=2&forecast_days=11&timezone=GMT&timeformat=unixtime&wind_speed_unit=ms", query, StringComparison.Ordinal);
        Assert.DoesNotContain("models", query, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_key_travels_in_a_header_and_never_in_the_address()
    {
        Always(200, Sample.Text("open-frost-morning.json"));
        await FetchAsync(o => o with { ApiKey = "s3cret", UserAgent = "graftwatch/0.1 grower@example.org" });
        var request = server.LogEntries.Single().RequestMessage!;
        Assert.Equal("s3cret", request.Headers!["X-Api-Key"].Single());
        Assert.Equal("graftwatch/0.1 grower@example.org", request.Headers["User-Agent"].Single());
        Assert.DoesNotContain("s3cret", request.Url, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Compressed_replies_are_understood()
    {
        using var packed = new MemoryStream();
        await using (var gzip = new GZipStream(packed, CompressionLevel.Fastest, leaveOpen: true))
        {
            await gzip.WriteAsync(Sample.Bytes("open-frost-morning.json"), TestContext.Current.CancellationToken);
        }

        server.Given(Request.Create().WithPath("/v1/forecast"))
            .RespondWith(Response.Create().WithStatusCode(200).WithHeader("Content-Encoding", "gzip").WithBody(packed.ToArray()));
        Assert.Null((await FetchAsync()).Trouble);
    }

    [Fact]
    public async Task Many_places_share_one_request_and_places_of_one_cell_one_location()
    {
        Always(200, Sample.Text("open-two-places-american-units-old-names.json"));
        Place[] places = [Stub.Slope, Stub.Place("Berlin", 52.52, 13.42, 40), Stub.Place("Slope, lower end", 47.6604, 9.1796, 398)];
        using ServiceProvider provider = Stub.Provider(Stub.Options(new Uri(server.Url!)));
        IReadOnlyList<PlaceWeather> got = await provider.GetRequiredService<IBatchWeatherSource>().FetchManyAsync(places, Stub.Now, TestContext.Current.CancellationToken);
        Assert.Equal(places, got.Select(g => g.Place));
        Assert.All(got, g => Assert.Null(g.Trouble));
        Assert.Same(got[0].Weather, got[2].Weather);
        Assert.Equal((40.6 - 32) / 1.8, got[1].Weather![WeatherQuantity.AirC][0], 10);
        string query = Uri.UnescapeDataString(new Uri(server.LogEntries.Single().RequestMessage!.Url!).Query);
        Assert.StartsWith("?latitude=47.66,52.52&longitude=9.18,13.42&elevation=400,40&", query, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_reply_with_another_number_of_locations_than_asked_for_is_not_trusted()
    {
        Always(200, Sample.Text("open-two-places-american-units-old-names.json"));
        PlaceWeather got = await FetchAsync(o => o with { MostRetries = 0 });
        Assert.Contains("holds 2 locations where 1 were asked for", got.Trouble, StringComparison.Ordinal);
    }

    /// <summary>Status, body and how often it is asked: 1 means not retried. Wire texts as the service's source has them.</summary>
    [Theory]
    [InlineData(400, """{"error":true,"reason":"Forecast days is invalid. Allowed range 0 to 16. Given 16."}""", 1, "finds fault with the request (\"Forecast days is invalid. Allowed range 0 to 16. Given 16\")")]
    [InlineData(400, """{"reason":"The supplied API key is invalid.","error":true}""", 1, "does not accept the key")]
    [InlineData(401, """{"error":true,"reason":"API key required. Please add &apikey= to the URL."}""", 1, "wants a key")]
    [InlineData(403, """{"error":true,"reason":"This API endpoint requires the API Professional or Enterprise plan"}""", 1, "check the key, the plan")]
    [InlineData(404, "Not Found", 1, "has nothing at this address")]
    [InlineData(410, "", 1, "has nothing at this address")]
    [InlineData(418, "short and stout", 1, "answered with status 418")]
    [InlineData(301, "", 1, "sends us elsewhere")]
    [InlineData(429, """{"error":true,"reason":"Daily API request limit exceeded. Please try again tomorrow."}""", 1, "has had too many requests from here (\"Daily API request limit")]
    [InlineData(429, """{"error":true,"reason":"Hourly API request limit exceeded. Please try again in the next hour."}""", 1, "(\"Hourly API request limit")]
    [InlineData(429, """{"error":true,"reason":"Too many concurrent requests"}""", 3, "is still busy with another request")]
    [InlineData(500, """{"error":true,"reason":"Something went wrong."}""", 3, "is in trouble (status 500) (\"Something went wrong\")")]
    [InlineData(502, "<html><head><title>502 Bad Gateway</title></head></html>", 3, "is in trouble (status 502)")]
    [InlineData(503, """{"error":true,"reason":"The service is overloaded"}""", 3, "(\"The service is overloaded\")")]
    [InlineData(504, "", 3, "(status 504)")]
    [InlineData(200, "", 3, "is empty")]
    [InlineData(200, "null", 3, "holds only null")]
    [InlineData(200, "[]", 3, "empty list")]
    [InlineData(200, "<html><title>Sign in</title></html>", 3, "is a web page (HTML), not weather (\"Sign in\")")]
    [InlineData(200, """{"latitude":47.66,"hourly":{"time":[1776823200],"temperature_2m":[1.Unexpected error while streaming data: timeout""", 3, "the server says \"Unexpected error while streaming data: timeout\"")]
    public async Task Every_status_and_body_ends_in_a_sentence(int status, string body, int tries, string expected)
    {
        Always(status, body);
        PlaceWeather got = await FetchAsync();
        Assert.Null(got.Weather);
        Assert.Contains(expected, got.Trouble, StringComparison.Ordinal);
        Assert.DoesNotMatch("[.]$", got.Trouble);
        Assert.Equal(tries, server.LogEntries.Count);
    }

    [Fact]
    public async Task A_broken_body_with_status_200_is_tried_again()
    {
        server.Given(Request.Create().WithPath("/v1/forecast")).InScenario("heals").WillSetStateTo("well")
            .RespondWith(Response.Create().WithStatusCode(200).WithBody(Sample.Text("open-frost-morning.json")[..700]));
        server.Given(Request.Create().WithPath("/v1/forecast")).InScenario("heals").WhenStateIs("well")
            .RespondWith(Response.Create().WithStatusCode(200).WithBody(Sample.Text("open-frost-morning.json")));
        Assert.Null((await FetchAsync()).Trouble);
        Assert.Equal(2, server.LogEntries.Count);
    }

    [Fact]
    public async Task Retry_After_of_a_day_is_kept_and_nobody_asks_in_between()
    {
        server.Given(Request.Create().WithPath("/v1/forecast"))
            .RespondWith(Response.Create().WithStatusCode(503).WithHeader("Retry-After", "86400"));
        var tallies = new InMemoryRequestTallies();
        PlaceWeather first = await FetchAsync(tallies: tallies);
        Assert.Contains("(status 503)", first.Trouble, StringComparison.Ordinal);

        // A new process, the same memory.
        PlaceWeather second = await FetchAsync(tallies: tallies);
        Assert.Contains("is not asked again before", second.Trouble, StringComparison.Ordinal);
        Assert.Single(server.LogEntries);
    }

    [Theory]
    [InlineData("1")]
    [InlineData("0")]
    [InlineData("0.5")]
    [InlineData("soon")]
    public async Task A_short_or_senseless_Retry_After_delays_the_next_try_and_no_more(string retryAfter)
    {
        server.Given(Request.Create().WithPath("/v1/forecast")).InScenario("busy").WillSetStateTo("free")
            .RespondWith(Response.Create().WithStatusCode(503).WithHeader("Retry-After", retryAfter));
        server.Given(Request.Create().WithPath("/v1/forecast")).InScenario("busy").WhenStateIs("free")
            .RespondWith(Response.Create().WithStatusCode(200).WithBody(Sample.Text("open-frost-morning.json")));
        Assert.Null((await FetchAsync()).Trouble);
    }

    [Fact]
    public async Task A_host_that_keeps_failing_is_left_alone()
    {
        Always(500, "{}");
        using ServiceProvider provider = Stub.Provider(Stub.Options(new Uri(server.Url!)));
        var source = provider.GetRequiredService<IWeatherSource>();
        string? last = null;
        for (int i = 0; i < 4; i++)
        {
            last = (await source.FetchAsync(Stub.Slope, Stub.Now, TestContext.Current.CancellationToken)).Trouble;
        }

        Assert.Contains("is left alone for 5 min", last, StringComparison.Ordinal);
        Assert.Equal(5, server.LogEntries.Count);
    }

    [Fact]
    public async Task A_reply_longer_than_the_cap_is_not_read_to_its_end()
    {
        Always(200, new string(' ', 300_000));
        Assert.Contains("sent more than 0.1 MiB", (await FetchAsync(o => o with { MostBytes = 100_000 })).Trouble, StringComparison.Ordinal);
        Assert.Single(server.LogEntries);
    }

    [Fact]
    public async Task A_compression_bomb_is_stopped_at_the_cap()
    {
        using var packed = new MemoryStream();
        await using (var gzip = new GZipStream(packed, CompressionLevel.SmallestSize, leaveOpen: true))
        {
            await gzip.WriteAsync(new byte[50_000_000], TestContext.Current.CancellationToken);
        }

        server.Given(Request.Create().WithPath("/v1/forecast"))
            .RespondWith(Response.Create().WithStatusCode(200).WithHeader("Content-Encoding", "gzip").WithBody(packed.ToArray()));
        Assert.Contains("sent more than 1 MiB", (await FetchAsync(o => o with { MostBytes = 1 << 20 })).Trouble, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Nobody_listening_is_said_in_plain_words()
    {
        server.Stop();
        Assert.Contains("127.0.0.1 takes no connection", (await FetchAsync(new Uri("http://127.0.0.1:9"))).Trouble, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_name_that_does_not_exist_asks_about_the_network()
    {
        PlaceWeather got = await FetchAsync(new Uri("http://weather.invalid"), o => o with { MostRetries = 0 });
        Assert.Contains("weather.invalid", got.Trouble, StringComparison.Ordinal);
        Assert.Contains("network", got.Trouble, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Cancelling_is_passed_on()
    {
        server.Given(Request.Create().WithPath("/v1/forecast")).RespondWith(Response.Create().WithStatusCode(200).WithDelay(5_000));
        using var cancelled = new CancellationTokenSource(100);
        using ServiceProvider provider = Stub.Provider(Stub.Options(new Uri(server.Url!)));
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => provider.GetRequiredService<IWeatherSource>().FetchAsync(Stub.Slope, Stub.Now, cancelled.Token));
    }

    private void Always(int status, string body) => server.Given(Request.Create().WithPath("/v1/forecast"))
        .RespondWith(Response.Create().WithStatusCode(status).WithBody(Encoding.UTF8.GetBytes(body)).WithHeader("Content-Type", "application/json; charset=utf-8"));

    private Task<PlaceWeather> FetchAsync(Func<OpenForecastOptions, OpenForecastOptions>? change = null, Place? place = null, IRequestTallies? tallies = null) =>
        FetchAsync(new Uri(server.Url!), change, place, tallies);

    private static async Task<PlaceWeather> FetchAsync(
        Uri url, Func<OpenForecastOptions, OpenForecastOptions>? change = null, Place? place = null, IRequestTallies? tallies = null)
    {
        OpenForecastOptions options = Stub.Options(url);
        using ServiceProvider provider = Stub.Provider(change?.Invoke(options) ?? options, tallies: tallies);
        return await provider.GetRequiredService<IWeatherSource>().FetchAsync(place ?? Stub.Slope, Stub.Now, TestContext.Current.CancellationToken);
    }
}

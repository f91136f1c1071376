using System.Reflection;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Forecasts.Tests.OpenForecast;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using Refit;
using WireMock.RequestBuilders;
using WireMock.Server;

namespace GraftWatch.Forecasts.Tests;

public sealed class WeatherSetupTests
{
    [Theory]
    [InlineData("https://api.open-meteo.com", "https://archive-api.open-meteo.com/")]
    [InlineData("https://customer-api.open-meteo.com", "https://customer-archive-api.open-meteo.com/")]
    [InlineData("http://weather.home.example:8080", "http://weather.home.example:8080/")]
    [InlineData("https://api.open-meteo.com.evil.example", "https://api.open-meteo.com.evil.example/")]
    public void Sibling_hosts_follow_the_address(string address, string expected) =>
        Assert.Equal(expected, new WeatherSetup { Address = new Uri(address) }.Sibling("archive-api").ToString());

    [Fact]
    public async Task One_call_makes_sources_in_order_with_fallback_archive_and_derivation()
    {
        using WireMockServer server = WireMockServer.Start();
        server.Given(Request.Create().WithPath("/v1/*")).RespondWith(WireMock.ResponseBuilders.Response.Create().WithStatusCode(404));
        server.Given(Request.Create().WithPath("/weatherapi/*"))
            .RespondWith(WireMock.ResponseBuilders.Response.Create().WithStatusCode(200).WithBody(Sample.Text("met-norway-frost-morning.json")));
        var services = new ServiceCollection();
        services.AddWeather(new WeatherSetup
        {
            Address = new Uri(server.Url!),
            MetNorwayAddress = new Uri(server.Url!),
            Contact = "grower@example.org",
            Version = "0.1",
            Order = ["open-meteo", "met-norway"],
        });
        await using ServiceProvider provider = services.BuildServiceProvider();
        PlaceWeather got = await provider.GetRequiredService<IWeatherSource>().FetchAsync(Stub.Slope, Instant.FromUtc(2026, 4, 22, 4, 30), TestContext.Current.CancellationToken);
        Assert.Equal("MET Norway", got.Forecast.Source);
        Assert.True(got.Weather!.Has(WeatherQuantity.GlobalWPerM2));
        Assert.StartsWith("MET Norway is used, for others failed: Open-Meteo: ", got.Forecast.Gaps[0], StringComparison.Ordinal);
        Assert.Contains("Derived here in some hours, not from the source: dew point, gusts, global radiation and soil temperature near 18 cm.", got.Forecast.Gaps);
        Assert.IsType<JoinedWeatherSource>(provider.GetRequiredService<IBatchWeatherSource>());
    }

    [Fact]
    public void Every_service_is_only_ever_asked_with_GET()
    {
        MethodInfo[] methods = [.. typeof(WeatherSetup).Assembly.GetTypes().Where(t => t.IsInterface).SelectMany(t => t.GetMethods()).Where(m => m.GetCustomAttributes<HttpMethodAttribute>().Any())];
        Assert.True(methods.Length >= 7);
        Assert.All(methods, m => Assert.IsType<GetAttribute>(m.GetCustomAttribute<HttpMethodAttribute>()));
    }

    /// <summary>The service has one offset for a whole reply; over a clock change its labels are an hour off the wall, and still the right instants.</summary>
    [Theory]
    [InlineData("Europe/Berlin", 2026, 10, 24)]
    [InlineData("Europe/Berlin", 2027, 3, 27)]
    [InlineData("America/New_York", 2026, 10, 31)]
    [InlineData("America/Santiago", 2027, 9, 4)]
    [InlineData("Africa/Cairo", 2026, 10, 29)]
    [InlineData("Asia/Beirut", 2027, 3, 27)]
    [InlineData("Antarctica/Troll", 2027, 3, 27)]
    [InlineData("Pacific/Auckland", 2026, 9, 26)]
    public void Local_labels_with_one_offset_become_an_unbroken_UTC_grid_over_a_clock_change(string zoneId, int year, int month, int day)
    {
        DateTimeZone zone = DateTimeZoneProviders.Tzdb[zoneId];
        Instant start = new LocalDate(year, month, day).AtStartOfDayInZone(zone).ToInstant();
        int offset = zone.GetUtcOffset(start).Seconds;
        HourlyWeather weather = Labels(start, offset).Locations[0].Weather!;
        Assert.Equal((start, 48), (weather.FirstHourEnd, weather.Hours));
        Assert.DoesNotContain(double.NaN, weather[WeatherQuantity.AirC].ToArray());
    }

    [Theory]
    [InlineData("Asia/Kolkata")]
    [InlineData("Australia/Lord_Howe")]
    public void Local_labels_off_the_full_UTC_hour_are_refused_with_the_remedy(string zoneId)
    {
        DateTimeZone zone = DateTimeZoneProviders.Tzdb[zoneId];
        Instant start = new LocalDate(2026, 7, 1).AtStartOfDayInZone(zone).ToInstant();
        Assert.Contains("ask with timezone=GMT", Assert.Single(Labels(start, zone.GetUtcOffset(start).Seconds).Faults), StringComparison.Ordinal);
    }

    private static SavedReplyResult Labels(Instant start, int offsetSeconds)
    {
        var pattern = NodaTime.Text.LocalDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd'T'HH:mm");
        string time = string.Join(',', Enumerable.Range(0, 48).Select(h =>
            $"\"{pattern.Format((start + Duration.FromHours(h)).WithOffset(Offset.FromSeconds(offsetSeconds)).LocalDateTime)}\""));
        string json = SavedReplyTests.Reply("\"temperature_2m\":\"°C\"", $"\"temperature_2m\":[{string.Join(',', Enumerable.Range(0, 48))}]", time)
            .Replace("\"utc_offset_seconds\":0", $"\"utc_offset_seconds\":{offsetSeconds}", StringComparison.Ordinal);
        return SavedReply.Parse(Encoding.UTF8.GetBytes(json), "reply", null);
    }
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.OpenForecast;

public sealed class SavedReplySourceTests
{
    private static readonly Place Slope = new("Slope", new Site { LatitudeDeg = 47.66, LongitudeDeg = 9.18, ElevationM = 404 }, DateTimeZone.Utc);

    [Fact]
    public async Task Hours_before_now_are_past_and_those_after_are_forecast()
    {
        Instant now = Instant.FromUtc(2026, 4, 22, 4, 30);
        PlaceWeather got = await new SavedReplySource(Sample.Path("open-frost-morning.json")).FetchAsync(Slope, now, TestContext.Current.CancellationToken);
        Assert.Null(got.Trouble);
        Assert.Equal(WeatherOrigin.Analysed, got.Weather!.OriginOf(WeatherQuantity.AirC, 2));
        Assert.Equal(WeatherOrigin.Forecast, got.Weather.OriginOf(WeatherQuantity.AirC, 3));
        Assert.Equal("saved reply open-frost-morning.json", got.Forecast.Source);
        Assert.Empty(got.Forecast.Gaps);
    }

    [Fact]
    public async Task A_day_in_the_middle_of_a_hundred_keeps_the_past_and_ten_days_ahead()
    {
        string path = SharedData.PathOrSkip("weather/orchard-massachusetts-2015-spring.json");
        Instant now = Instant.FromUtc(2015, 5, 10, 10, 0);
        var place = new Place("Orchard", new Site { LatitudeDeg = 42.45, LongitudeDeg = -72.68, ElevationM = 258 }, DateTimeZoneProviders.Tzdb["America/New_York"]);
        PlaceWeather got = await new SavedReplySource(path, WeatherOrigin.Measured).FetchAsync(place, now, TestContext.Current.CancellationToken);
        Assert.Equal(Instant.FromUtc(2015, 4, 1, 0, 0), got.Weather!.FirstHourEnd);
        Assert.Equal(now + Duration.FromDays(10), got.Weather.LastHourEnd);
        Assert.Equal(WeatherOrigin.Measured, got.Weather.OriginOf(WeatherQuantity.AirC, got.Weather.IndexOf(now)));
        Assert.Equal(WeatherOrigin.Forecast, got.Weather.OriginOf(WeatherQuantity.AirC, got.Weather.IndexOf(now) + 1));
    }

    [Fact]
    public async Task Of_several_locations_the_nearest_is_taken()
    {
        var berlin = new Place("North", new Site { LatitudeDeg = 52.5, LongitudeDeg = 13.4, ElevationM = 40 }, DateTimeZone.Utc);
        PlaceWeather got = await new SavedReplySource(Sample.Path("open-two-places-american-units-old-names.json"))
            .FetchAsync(berlin, Instant.FromUtc(2026, 4, 22, 2, 0), TestContext.Current.CancellationToken);
        Assert.Equal((40.6 - 32) / 1.8, got.Weather![WeatherQuantity.AirC][0], 10);
    }

    [Fact]
    public async Task A_reply_for_another_place_is_used_and_says_so()
    {
        var far = new Place("Far", new Site { LatitudeDeg = 49.66, LongitudeDeg = 9.18, ElevationM = 900 }, DateTimeZone.Utc);
        PlaceWeather got = await new SavedReplySource(Sample.Path("open-frost-morning.json")).FetchAsync(far, Instant.FromUtc(2026, 4, 22, 2, 0), TestContext.Current.CancellationToken);
        Assert.Equal(
            ["open-frost-morning.json is for a point 222 km from the place.", "open-frost-morning.json is for 404 m above the sea, the place lies at 900 m."],
            got.Forecast.Gaps);
    }

    [Theory]
    [InlineData("no-such-file.json", "there is no file")]
    [InlineData("README.md", "is not valid JSON")]
    public async Task A_file_that_cannot_be_used_is_trouble_not_an_exception(string file, string expected)
    {
        PlaceWeather got = await new SavedReplySource(Sample.Path(file)).FetchAsync(Slope, Instant.FromUtc(2026, 4, 22, 2, 0), TestContext.Current.CancellationToken);
        Assert.Null(got.Weather);
        Assert.Contains(expected, got.Trouble, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(2026, 4, 20)]
    [InlineData(2026, 4, 23)]
    public async Task A_file_without_the_hours_asked_for_says_which_it_has(int year, int month, int day)
    {
        PlaceWeather got = await new SavedReplySource(Sample.Path("open-frost-morning.json")).FetchAsync(Slope, Instant.FromUtc(year, month, day, 2, 0), TestContext.Current.CancellationToken);
        Assert.Null(got.Weather);
        Assert.Contains("from 2026-04-22 02:00 UTC to 2026-04-22 07:00 UTC", got.Trouble, StringComparison.Ordinal);
    }
}

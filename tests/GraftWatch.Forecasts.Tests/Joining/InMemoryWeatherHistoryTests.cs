using GraftWatch.Forecasts.Joining;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Joining;

public sealed class InMemoryWeatherHistoryTests
{
    private static readonly Instant T0 = Hours.Start;
    private readonly InMemoryWeatherHistory history = new();

    [Fact]
    public async Task A_save_replaces_the_hours_it_covers_keeps_earlier_ones_and_drops_later_ones()
    {
        await SaveAsync(Hours.Air(T0, WeatherOrigin.Analysed, 1, 2, 3, 4, 5, 6));
        await SaveAsync(Hours.Air(T0 + Duration.FromHours(2), WeatherOrigin.Forecast, 30, double.NaN));
        KeptWeather kept = (await history.LoadAsync("Slope", T0, TestContext.Current.CancellationToken))!;
        Assert.Equal([1, 2, 30, double.NaN], kept.Weather[WeatherQuantity.AirC].ToArray());
        Assert.Equal(WeatherOrigin.Analysed, kept.Weather.OriginOf(WeatherQuantity.AirC, 1));
        Assert.Equal(WeatherOrigin.Forecast, kept.Weather.OriginOf(WeatherQuantity.AirC, 2));
    }

    [Fact]
    public async Task A_hole_between_two_saves_stays_a_hole()
    {
        await SaveAsync(Hours.Air(T0, WeatherOrigin.Analysed, 1));
        await SaveAsync(Hours.Air(T0 + Duration.FromHours(3), WeatherOrigin.Forecast, 4));
        KeptWeather kept = (await history.LoadAsync("Slope", T0 + Duration.FromHours(1), TestContext.Current.CancellationToken))!;
        Assert.Equal([double.NaN, double.NaN, 4], kept.Weather[WeatherQuantity.AirC].ToArray());
    }

    [Fact]
    public async Task What_was_never_kept_is_null()
    {
        Assert.Null(await history.LoadAsync("Slope", T0, TestContext.Current.CancellationToken));
        await SaveAsync(Hours.Air(T0, WeatherOrigin.Analysed, 1));
        Assert.Null(await history.LoadAsync("Slope", T0 + Duration.FromHours(1), TestContext.Current.CancellationToken));
    }

    private Task SaveAsync(HourlyWeather weather) => history.SaveAsync("Slope", new KeptWeather(weather, "source", "credit", T0), TestContext.Current.CancellationToken);
}

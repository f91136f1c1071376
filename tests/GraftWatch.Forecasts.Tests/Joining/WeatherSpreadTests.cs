using GraftWatch.Forecasts.Joining;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Joining;

public sealed class WeatherSpreadTests
{
    private static readonly Instant T0 = Hours.Start;

    [Fact]
    public void Two_sources_are_compared_over_the_hours_both_have()
    {
        HourlyWeather first = Hours.Of(T0, WeatherOrigin.Forecast, (WeatherQuantity.AirC, [50, 2, -1, 4]), (WeatherQuantity.WindMPerS, [1, 2, 3, 4]));
        HourlyWeather second = Hours.Of(T0 + Duration.FromHours(1), WeatherOrigin.Forecast, (WeatherQuantity.AirC, [1, -5, 4.5, 40]), (WeatherQuantity.WindMPerS, [9, 2, 3, 4]));
        var spread = WeatherSpread.Between(first, second, T0, T0 + Duration.FromDays(2));
        Assert.Equal((-4.0, 0.5, 5.0, 3), (spread.LowestAirK, spread.HighestAirK, spread.StrongestWindMPerS, spread.Hours));
        Assert.Equal("B differs from A: the lowest temperature 4 K lower.", spread.Sentence("A", "B", new SpreadLimits()));
    }

    [Fact]
    public void Sources_that_agree_or_share_no_hour_need_no_sentence()
    {
        HourlyWeather first = Hours.Air(T0, WeatherOrigin.Forecast, 1, 2, 3), apart = Hours.Air(T0 + Duration.FromDays(1), WeatherOrigin.Forecast, 9);
        Assert.Null(WeatherSpread.Between(first, first, T0 - Duration.FromHours(1), T0 + Duration.FromDays(2)).Sentence("A", "B", new SpreadLimits()));
        Assert.Null(WeatherSpread.Between(first, apart, T0 - Duration.FromHours(1), T0 + Duration.FromDays(2)).Sentence("A", "B", new SpreadLimits()));
    }
}

using GraftWatch.Forecasts.Station;
using GraftWatch.Microclimate.Frost;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Station;

public sealed class FrostOffsetLearnerTests
{
    private static readonly DateTimeZone Berlin = DateTimeZoneProviders.Tzdb["Europe/Berlin"];
    private static readonly Instant Start = Instant.FromUtc(2026, 4, 1, 0, 0);

    [Fact]
    public void Only_clear_calm_dry_nights_teach()
    {
        // Even nights are clear and calm and 3 K colder at the station; odd ones are windy and equal.
        (HourlyWeather model, HourlyWeather station) = Season(20, cloudFracOfOddNights: 0.0, windOfOddNights: 6);
        FrostOffset learned = FrostOffsetLearner.Learn(model, station, Berlin, Start + Duration.FromDays(21));
        Assert.InRange(learned.Nights, 9, 10);
        Assert.Equal(-3, learned.MedianK, 9);
        Assert.InRange(learned.OffsetK, -3, -2.7);
    }

    [Fact]
    public void Cloudy_nights_do_not_teach()
    {
        (HourlyWeather model, HourlyWeather station) = Season(20, cloudFracOfOddNights: 0.9, windOfOddNights: 1);
        Assert.InRange(FrostOffsetLearner.Learn(model, station, Berlin, Start + Duration.FromDays(21)).Nights, 9, 10);
    }

    [Fact]
    public void A_model_without_cloud_teaches_nothing()
    {
        HourlyWeather model = Joining.Hours.Run(Start, Start + Duration.FromDays(30), 480, _ => 5, _ => 1);
        HourlyWeather station = Joining.Hours.Air(Start, WeatherOrigin.Measured, [.. Enumerable.Repeat(2.0, 480)]);
        Assert.False(FrostOffsetLearner.Learn(model, station, Berlin, Start + Duration.FromDays(30)).IsLearned);
    }

    private static (HourlyWeather Model, HourlyWeather Station) Season(int days, double cloudFracOfOddNights, double windOfOddNights)
    {
        int hours = 24 * days;
        var model = new HourlyWeather.Builder(Start, hours);
        var station = new HourlyWeather.Builder(Start, hours);
        for (int i = 0; i < hours; i++)
        {
            // Nights are counted from noon to noon, UTC.
            bool odd = (i + 12) / 24 % 2 == 1;
            double airC = 8 - (6 * Math.Cos(2 * Math.PI * ((i % 24) - 4) / 24.0));
            model.Set(WeatherQuantity.AirC, i, airC, WeatherOrigin.Analysed)
                .Set(WeatherQuantity.WindMPerS, i, odd ? windOfOddNights : 1, WeatherOrigin.Analysed)
                .Set(WeatherQuantity.CloudFrac, i, odd ? cloudFracOfOddNights : 0.1, WeatherOrigin.Analysed)
                .Set(WeatherQuantity.PrecipitationMm, i, 0, WeatherOrigin.Analysed);
            station.Set(WeatherQuantity.AirC, i, airC - (odd ? 0 : 3), WeatherOrigin.Measured);
        }

        return (model.Build(), station.Build());
    }
}

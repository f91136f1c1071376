using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Microclimate.Tests.Unions;

/// <summary>Three invented clear days in April at 45° N on the prime meridian; hour 12 ends at 13:00 UTC.</summary>
internal static class SpringDay
{
    public static Site Place { get; } = new() { LatitudeDeg = 45, LongitudeDeg = 0, ElevationM = 100 };

    public static HourlyWeather Clear(Action<HourlyWeather.Builder>? change = null)
    {
        var first = Instant.FromUtc(2026, 4, 15, 1, 0);
        const int hours = 72;
        var builder = new HourlyWeather.Builder(first, hours);
        for (int i = 0; i < hours; i++)
        {
            Instant end = first + Duration.FromHours(i);
            double zenithDeg = SunPosition.At(end - Duration.FromMinutes(30), Place.LatitudeDeg, Place.LongitudeDeg).ZenithDeg;
            double cosZenith = Math.Cos(zenithDeg * Math.PI / 180);
            builder
                .Set(WeatherQuantity.AirC, i, 9 - (6 * Math.Cos(2 * Math.PI * (i - 3) / 24)), WeatherOrigin.Measured)
                .Set(WeatherQuantity.DewPointC, i, 2, WeatherOrigin.Measured)
                .Set(WeatherQuantity.WindMPerS, i, 2, WeatherOrigin.Measured)
                .Set(WeatherQuantity.GlobalWPerM2, i, 0.95 * Sunlight.ClearGlobalWPerM2(cosZenith), WeatherOrigin.Measured)
                .Set(WeatherQuantity.PrecipitationMm, i, 0, WeatherOrigin.Measured);
        }

        change?.Invoke(builder);
        return builder.Build();
    }
}

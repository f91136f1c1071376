using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Benchmarks.Microclimate;

/// <summary>A made-up year of hours at 45° N with cloud, gusts of wind and rain, for timing only.</summary>
internal static class InventedYear
{
    public const int Hours = 8760;

    public static Site Place { get; } = new() { LatitudeDeg = 45, LongitudeDeg = 0, ElevationM = 100 };

    public static CoverLayer Foil { get; } = new()
    {
        Name = "foil",
        SolarAbsorptanceFrac = 0.15,
        EmissivityFrac = 0.05,
        GapResistanceM2KPerW = 0.03,
    };

    public static CoverLayer Film { get; } = new()
    {
        Name = "film",
        SolarAbsorptanceFrac = 0.05,
        SolarTransmittanceFrac = 0.87,
        EmissivityFrac = 0.2,
        InfraredTransmittanceFrac = 0.7,
        GapResistanceM2KPerW = 0.015,
    };

    public static CoverLayer PaddedPaper { get; } = new()
    {
        Name = "padded paper",
        SolarAbsorptanceFrac = 0.55,
        SolarTransmittanceFrac = 0.02,
        EmissivityFrac = 0.9,
        GapResistanceM2KPerW = 0.1,
    };

    public static HourlyWeather Weather(int hours = Hours)
    {
        var first = Instant.FromUtc(2026, 1, 1, 1, 0);
        var builder = new HourlyWeather.Builder(first, hours);
        for (int i = 0; i < hours; i++)
        {
            double season = Math.Sin(2 * Math.PI * (i - (80 * 24)) / 8760), day = Math.Sin(2 * Math.PI * (i - 9) / 24);
            double cloud = 0.5 + (0.5 * Math.Sin(i / 29.0));
            double airC = 10 + (11 * season) + (5 * day * (1 - (0.6 * cloud)));
            double zenithDeg = SunPosition.At(first + Duration.FromMinutes((60 * i) - 30), Place.LatitudeDeg, Place.LongitudeDeg).ZenithDeg;
            builder.Set(WeatherQuantity.AirC, i, airC, WeatherOrigin.Forecast)
                .Set(WeatherQuantity.DewPointC, i, airC - 2 - (6 * (1 - cloud)), WeatherOrigin.Forecast)
                .Set(WeatherQuantity.WindMPerS, i, 3 + (2.5 * Math.Sin(i / 17.0)), WeatherOrigin.Forecast)
                .Set(WeatherQuantity.CloudFrac, i, cloud, WeatherOrigin.Forecast)
                .Set(WeatherQuantity.PrecipitationMm, i, i % 31 == 0 ? 0.8 : 0, WeatherOrigin.Forecast)
                .Set(
                    WeatherQuantity.GlobalWPerM2,
                    i,
                    Sunlight.ClearGlobalWPerM2(Math.Cos(zenithDeg * Math.PI / 180)) * Sunlight.CloudPassFrac(cloud),
                    WeatherOrigin.Forecast);
        }

        return builder.Build();
    }
}

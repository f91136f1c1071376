using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Joining;

/// <summary>Short series for tests.</summary>
internal static class Hours
{
    public static readonly Instant Start = Instant.FromUtc(2026, 4, 22, 0, 0);

    public static HourlyWeather Air(Instant first, WeatherOrigin origin, params ReadOnlySpan<double> airC) =>
        Of(first, origin, (WeatherQuantity.AirC, airC.ToArray()));

    public static HourlyWeather Of(Instant first, WeatherOrigin origin, params (WeatherQuantity Quantity, double[] Values)[] columns)
    {
        var builder = new HourlyWeather.Builder(first, columns[0].Values.Length);
        foreach ((WeatherQuantity quantity, double[] values) in columns)
        {
            builder.SetColumn(quantity, values, origin);
        }

        return builder.Build();
    }

    /// <summary>A run: hours up to now analysed, later ones forecast.</summary>
    public static HourlyWeather Run(Instant first, Instant now, int hours, Func<Instant, double> airC, Func<Instant, double>? wind = null)
    {
        var builder = new HourlyWeather.Builder(first, hours);
        for (int i = 0; i < hours; i++)
        {
            Instant end = first + Duration.FromHours(i);
            WeatherOrigin origin = end <= now ? WeatherOrigin.Analysed : WeatherOrigin.Forecast;
            builder.Set(WeatherQuantity.AirC, i, airC(end), origin).Set(WeatherQuantity.WindMPerS, i, wind?.Invoke(end) ?? 2, origin);
        }

        return builder.Build();
    }
}

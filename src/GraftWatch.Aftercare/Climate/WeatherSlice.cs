using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Climate;

/// <summary>Cuts hours out of a longer series.</summary>
public static class WeatherSlice
{
    private static readonly WeatherQuantity[] Quantities = Enum.GetValues<WeatherQuantity>();

    /// <summary>The hours whose ends lie between two instants, both included.</summary>
    /// <param name="weather">The series.</param>
    /// <param name="from">No hour ends before it.</param>
    /// <param name="to">No hour ends after it.</param>
    /// <param name="now">Hours that end at or before it keep their origin or count as analysed, later ones as forecast; null keeps all origins.</param>
    /// <returns>Null when there are none.</returns>
    public static HourlyWeather? Of(HourlyWeather weather, Instant from, Instant to, Instant? now = null)
    {
        ArgumentNullException.ThrowIfNull(weather);
        int first = Math.Max(0, weather.IndexOf(from));
        int last = Math.Min(weather.Hours - 1, weather.IndexOf(to));
        last = last >= 0 && weather.EndOf(last) > to ? last - 1 : last;
        if (last < first)
        {
            return null;
        }

        var builder = new HourlyWeather.Builder(weather.EndOf(first), last - first + 1);
        foreach (WeatherQuantity quantity in Quantities)
        {
            if (!weather.Has(quantity))
            {
                continue;
            }

            ReadOnlySpan<double> column = weather[quantity];
            for (int hour = first; hour <= last; hour++)
            {
                builder.Set(quantity, hour - first, column[hour], OriginAt(weather, quantity, hour, now));
            }
        }

        return builder.Build();
    }

    private static WeatherOrigin OriginAt(HourlyWeather weather, WeatherQuantity quantity, int hour, Instant? now)
    {
        WeatherOrigin origin = weather.OriginOf(quantity, hour);
        return now is not { } at ? origin
            : weather.EndOf(hour) > at ? WeatherOrigin.Forecast
            : origin == WeatherOrigin.Forecast ? WeatherOrigin.Analysed
            : origin;
    }
}

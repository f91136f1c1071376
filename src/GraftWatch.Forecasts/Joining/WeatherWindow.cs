using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>Cuts hours out of a longer series.</summary>
public static class WeatherWindow
{
    /// <summary>The hours whose ends lie in [<paramref name="from"/>, <paramref name="to"/>], values and origins unchanged.</summary>
    /// <returns>Null when there are none.</returns>
    public static HourlyWeather? Cut(HourlyWeather weather, Instant from, Instant to)
    {
        int first = Math.Max(0, weather.IndexOf(from));
        int last = Math.Min(weather.Hours - 1, LastEndAtOrBefore(weather, to));
        if (last < first)
        {
            return null;
        }

        if (first == 0 && last == weather.Hours - 1)
        {
            return weather;
        }

        var builder = new HourlyWeather.Builder(weather.EndOf(first), last - first + 1);
        foreach (WeatherQuantity quantity in QuantityWords.All)
        {
            ReadOnlySpan<double> column = weather[quantity];
            for (int i = first; i <= last; i++)
            {
                if (!double.IsNaN(column[i]))
                {
                    builder.Set(quantity, i - first, column[i], weather.OriginOf(quantity, i));
                }
            }
        }

        return builder.Build();
    }

    private static int LastEndAtOrBefore(HourlyWeather weather, Instant to) =>
        (int)Math.Clamp(Math.Floor((to - weather.FirstHourEnd).TotalHours), -1, int.MaxValue);
}

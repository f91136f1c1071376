using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>Recognises a service that serves an old run in perfect shape: its new forecast repeats the last to the last digit.</summary>
internal static class FrozenRun
{
    // A day of air temperatures to a tenth of a kelvin does not repeat by chance once a new run has come in.
    private const int FewestHours = 24;

    /// <summary>Whether the forecast hours both have are the same in every value.</summary>
    public static bool Repeats(HourlyWeather kept, HourlyWeather fresh, Instant now)
    {
        int same = 0;
        for (int i = Math.Max(0, fresh.IndexOf(now) + 1); i < fresh.Hours; i++)
        {
            int k = kept.IndexOf(fresh.EndOf(i));
            if (k < 0 || k >= kept.Hours)
            {
                continue;
            }

            double before = kept[WeatherQuantity.AirC][k], after = fresh[WeatherQuantity.AirC][i];
            if (double.IsNaN(before) || double.IsNaN(after))
            {
                continue;
            }

            if (before != after || kept[WeatherQuantity.WindMPerS][k].CompareTo(fresh[WeatherQuantity.WindMPerS][i]) != 0)
            {
                return false;
            }

            same++;
        }

        return same >= FewestHours;
    }
}

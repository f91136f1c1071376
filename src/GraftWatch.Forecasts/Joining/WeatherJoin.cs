using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Humidity;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>Joins series hour by hour and quantity by quantity; every hour keeps saying where it came from.</summary>
public static class WeatherJoin
{
    /// <summary>Joins what was kept with a new run.</summary>
    /// <param name="kept">Earlier hours, or null.</param>
    /// <param name="fresh">The new run.</param>
    /// <param name="now">Hours that end after it are forecast: they come from the new run alone, gaps included.</param>
    /// <returns>From the first hour of either to the last of the new run. A past hour takes the better origin (measured, analysed, forecast, derived), the new run at a tie.</returns>
    public static HourlyWeather Renew(HourlyWeather? kept, HourlyWeather fresh, Instant now)
    {
        if (kept is null)
        {
            return fresh;
        }

        Instant first = Instant.Min(kept.FirstHourEnd, fresh.FirstHourEnd);
        var builder = new HourlyWeather.Builder(first, HoursTo(first, fresh.LastHourEnd));
        int keptAt = HoursTo(first, kept.FirstHourEnd) - 1, freshAt = HoursTo(first, fresh.FirstHourEnd) - 1;
        int past = Math.Max(0, HoursTo(first, now));
        int hours = HoursTo(first, fresh.LastHourEnd);
        foreach (WeatherQuantity quantity in QuantityWords.All)
        {
            ReadOnlySpan<double> old = kept[quantity], young = fresh[quantity];
            for (int i = 0; i < hours; i++)
            {
                int o = i - keptAt, y = i - freshAt;
                WeatherOrigin oldOrigin = o >= 0 && o < old.Length && i < past ? kept.OriginOf(quantity, o) : WeatherOrigin.Missing;
                WeatherOrigin youngOrigin = y >= 0 && y < young.Length ? fresh.OriginOf(quantity, y) : WeatherOrigin.Missing;
                if (Rank(youngOrigin) > 0 && Rank(youngOrigin) >= Rank(oldOrigin))
                {
                    builder.Set(quantity, i, young[y], youngOrigin);
                }
                else if (Rank(oldOrigin) > 0)
                {
                    builder.Set(quantity, i, old[o], oldOrigin);
                }
            }
        }

        return builder.Build();
    }

    /// <summary>Lays measured hours over a series; the grid stays that of the series.</summary>
    /// <param name="weather">The series.</param>
    /// <param name="station">Measured hours.</param>
    /// <remarks>
    /// Where only the air temperature is measured the air keeps the series' vapour, not its relative humidity: humidity is derived anew from the
    /// dew point at the measured temperature, and the dew point is held down to it [Allen1998] eq. 10, 11.
    /// </remarks>
    public static HourlyWeather Overlay(HourlyWeather weather, HourlyWeather station)
    {
        int offset = HoursTo(weather.FirstHourEnd, station.FirstHourEnd) - 1;
        var builder = new HourlyWeather.Builder(weather.FirstHourEnd, weather.Hours);
        foreach (WeatherQuantity quantity in QuantityWords.All)
        {
            ReadOnlySpan<double> model = weather[quantity], measured = station[quantity];
            for (int i = 0; i < weather.Hours; i++)
            {
                int s = i - offset;
                if (s >= 0 && s < measured.Length && !double.IsNaN(measured[s]))
                {
                    builder.Set(quantity, i, measured[s], station.OriginOf(quantity, s));
                }
                else if (!double.IsNaN(model[i]))
                {
                    builder.Set(quantity, i, model[i], weather.OriginOf(quantity, i));
                }
            }
        }

        for (int i = Math.Max(0, offset); i < Math.Min(weather.Hours, offset + station.Hours); i++)
        {
            KeepVapour(weather, station, builder, i, i - offset);
        }

        return builder.Build();
    }

    /// <summary>Completes a member of an ensemble with the main run's values for what it lacks.</summary>
    public static HourlyWeather CompleteMember(HourlyWeather main, HourlyWeather member)
    {
        int offset = HoursTo(main.FirstHourEnd, member.FirstHourEnd) - 1;
        var builder = new HourlyWeather.Builder(main.FirstHourEnd, main.Hours);
        foreach (WeatherQuantity quantity in QuantityWords.All)
        {
            ReadOnlySpan<double> whole = main[quantity], own = member[quantity];
            for (int i = 0; i < main.Hours; i++)
            {
                int m = i - offset;
                bool forecast = main.OriginOf(quantity, i) is not (WeatherOrigin.Measured or WeatherOrigin.Analysed);
                if (forecast && m >= 0 && m < own.Length && !double.IsNaN(own[m]))
                {
                    builder.Set(quantity, i, own[m], member.OriginOf(quantity, m));
                }
                else if (!double.IsNaN(whole[i]))
                {
                    builder.Set(quantity, i, whole[i], main.OriginOf(quantity, i));
                }
            }
        }

        return builder.Build();
    }

    private static void KeepVapour(HourlyWeather weather, HourlyWeather station, HourlyWeather.Builder builder, int i, int s)
    {
        double airC = station[WeatherQuantity.AirC][s];
        if (double.IsNaN(airC) || !double.IsNaN(station[WeatherQuantity.HumidityPct][s]) || !double.IsNaN(station[WeatherQuantity.DewPointC][s]))
        {
            return;
        }

        double dewPointC = weather[WeatherQuantity.DewPointC][i];
        double vapourKPa = double.IsNaN(dewPointC)
            ? Humidity.VapourPressureFromHumidityKPa(weather[WeatherQuantity.AirC][i], weather[WeatherQuantity.HumidityPct][i])
            : Humidity.VapourPressureKPa(dewPointC);
        if (double.IsNaN(vapourKPa))
        {
            // The series' humidity belongs to its own temperature, not to the measured one.
            builder.Set(WeatherQuantity.HumidityPct, i, double.NaN, WeatherOrigin.Missing);
            return;
        }

        builder.Set(WeatherQuantity.HumidityPct, i, Math.Min(100, Humidity.HumidityPct(airC, vapourKPa)), WeatherOrigin.Derived);
        builder.Set(WeatherQuantity.DewPointC, i, Math.Min(airC, Humidity.DewPointC(vapourKPa)), WeatherOrigin.Derived);
    }

    private static int HoursTo(Instant first, Instant last) => (int)Math.Floor((last - first).TotalHours) + 1;

    private static int Rank(WeatherOrigin origin) => origin switch
    {
        WeatherOrigin.Measured => 4,
        WeatherOrigin.Analysed => 3,
        WeatherOrigin.Forecast => 2,
        WeatherOrigin.Derived => 1,
        _ => 0,
    };
}

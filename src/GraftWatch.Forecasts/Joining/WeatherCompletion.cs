using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Humidity;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Soil;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Microclimate.Wind;
using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>Derives what a source lacks by named formulas; every derived hour says so.</summary>
/// <remarks>
/// Dew point and humidity from each other [Allen1998] eq. 10, 11; gusts from the mean wind [WieringaRijkoort1983], and never below it;
/// global radiation as the sum of its parts, else from cloud cover [Kasten1980] under the clear sky of [Haurwitz1945]; temperature
/// of the root zone from slowed air and sun. What none of these gives stays missing.
/// </remarks>
public static class WeatherCompletion
{
    // The mean over the hour from points in its middle, as the services mean their radiation.
    private const int SunSteps = 6;

    /// <summary>Completes a series.</summary>
    /// <param name="weather">The series.</param>
    /// <param name="site">The place: coordinates for the sun, roughness for gusts.</param>
    /// <param name="derived">Receives the quantities that were derived in at least one hour.</param>
    public static HourlyWeather Complete(HourlyWeather weather, Site site, ISet<WeatherQuantity>? derived = null)
    {
        var fill = new Fill(weather, derived);
        Moisture(fill);
        Gusts(fill, site);
        Radiation(fill, site);
        RootZone(fill);
        return fill.Build();
    }

    /// <summary>Derives only dew point and humidity from each other.</summary>
    public static HourlyWeather CompleteMoisture(HourlyWeather weather)
    {
        var fill = new Fill(weather, null);
        Moisture(fill);
        return fill.Build();
    }

    private static void Moisture(Fill fill)
    {
        ReadOnlySpan<double> air = fill.Weather[WeatherQuantity.AirC];
        ReadOnlySpan<double> humidity = fill.Weather[WeatherQuantity.HumidityPct];
        ReadOnlySpan<double> dewPoint = fill.Weather[WeatherQuantity.DewPointC];
        for (int i = 0; i < air.Length; i++)
        {
            if (double.IsNaN(dewPoint[i]) && humidity[i] > 0)
            {
                fill.Set(WeatherQuantity.DewPointC, i, Humidity.DewPointFromHumidityC(air[i], humidity[i]));
            }
            else if (double.IsNaN(humidity[i]))
            {
                fill.Set(WeatherQuantity.HumidityPct, i, Math.Min(100, Humidity.HumidityPct(air[i], Humidity.VapourPressureKPa(dewPoint[i]))));
            }
        }
    }

    private static void Gusts(Fill fill, Site site)
    {
        var gusts = new double[fill.Weather.Hours];
        GustHours.Fill(fill.Weather, site, gusts);
        ReadOnlySpan<double> given = fill.Weather[WeatherQuantity.GustMPerS];
        ReadOnlySpan<double> wind = fill.Weather[WeatherQuantity.WindMPerS];
        for (int i = 0; i < gusts.Length; i++)
        {
            // Some models give gusts of nothing at the start of a run; a gust is at least the mean wind that the hour ends with.
            double gust = gusts[i] < wind[i] ? wind[i] : gusts[i];
            if (double.IsNaN(given[i]) || gust > given[i])
            {
                fill.Set(WeatherQuantity.GustMPerS, i, gust);
            }
        }
    }

    private static void Radiation(Fill fill, Site site)
    {
        ReadOnlySpan<double> global = fill.Weather[WeatherQuantity.GlobalWPerM2];
        if (!global.Contains(double.NaN))
        {
            return;
        }

        ReadOnlySpan<double> direct = fill.Weather[WeatherQuantity.DirectHorizontalWPerM2];
        ReadOnlySpan<double> diffuse = fill.Weather[WeatherQuantity.DiffuseWPerM2];
        var cloud = new double[fill.Weather.Hours];
        fill.Weather.HourMean(WeatherQuantity.CloudFrac, cloud);
        for (int i = 0; i < global.Length; i++)
        {
            if (double.IsNaN(global[i]))
            {
                double sum = direct[i] + diffuse[i];
                fill.Set(
                    WeatherQuantity.GlobalWPerM2,
                    i,
                    double.IsNaN(sum) ? ClearMeanWPerM2(fill.Weather.EndOf(i), site) * Sunlight.CloudPassFrac(cloud[i]) : sum);
            }
        }
    }

    private static double ClearMeanWPerM2(Instant hourEnd, Site site)
    {
        double sum = 0;
        for (int k = 0; k < SunSteps; k++)
        {
            Instant at = hourEnd - Duration.FromMinutes(60 * (k + 0.5) / SunSteps);
            double zenithRad = double.DegreesToRadians(SunPosition.At(at, site.LatitudeDeg, site.LongitudeDeg).ZenithDeg);
            sum += Sunlight.ClearGlobalWPerM2(Math.Cos(zenithRad));
        }

        return sum / SunSteps;
    }

    private static void RootZone(Fill fill)
    {
        ReadOnlySpan<double> shallow = fill.Weather[WeatherQuantity.SoilShallowC];
        ReadOnlySpan<double> deep = fill.Weather[WeatherQuantity.SoilDeepC];
        var air = new double[fill.Weather.Hours];
        var slowed = new double[fill.Weather.Hours];
        fill.Weather.HourMean(WeatherQuantity.AirC, air);
        SoilTemperature.FromAir(air, fill.GlobalWPerM2, slowed);
        for (int i = 0; i < slowed.Length; i++)
        {
            if (double.IsNaN(shallow[i]) && double.IsNaN(deep[i]))
            {
                fill.Set(WeatherQuantity.SoilDeepC, i, slowed[i]);
            }
        }
    }

    /// <summary>The series and what is added to it.</summary>
    private sealed class Fill
    {
        private readonly HourlyWeather.Builder builder;
        private readonly ISet<WeatherQuantity>? derived;
        private bool changed;

        public Fill(HourlyWeather weather, ISet<WeatherQuantity>? derived)
        {
            Weather = weather;
            GlobalWPerM2 = weather[WeatherQuantity.GlobalWPerM2].ToArray();
            this.derived = derived;
            builder = new HourlyWeather.Builder(weather.FirstHourEnd, weather.Hours);
            foreach (WeatherQuantity quantity in QuantityWords.All)
            {
                ReadOnlySpan<double> column = weather[quantity];
                for (int i = 0; i < column.Length; i++)
                {
                    if (!double.IsNaN(column[i]))
                    {
                        builder.Set(quantity, i, column[i], weather.OriginOf(quantity, i));
                    }
                }
            }
        }

        public HourlyWeather Weather { get; }

        /// <summary>Global radiation with what was derived so far.</summary>
        public double[] GlobalWPerM2 { get; }

        public void Set(WeatherQuantity quantity, int hour, double value)
        {
            if (double.IsFinite(value))
            {
                builder.Set(quantity, hour, value, WeatherOrigin.Derived);
                GlobalWPerM2[hour] = quantity == WeatherQuantity.GlobalWPerM2 ? value : GlobalWPerM2[hour];
                derived?.Add(quantity);
                changed = true;
            }
        }

        public HourlyWeather Build() => changed ? builder.Build() : Weather;
    }
}

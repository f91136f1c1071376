using GraftWatch.Microclimate.Frost;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Station;

/// <summary>Learns how much colder a place is than its model on clear calm nights from hours both have.</summary>
public static class FrostOffsetLearner
{
    private static readonly LocalTime Evening = new(18, 0);
    private static readonly LocalTime Morning = new(9, 0);

    // Fewer hours than these of the fifteen do not show the minimum.
    private const int FewestHours = 12;

    /// <summary>Estimates the offset.</summary>
    /// <param name="model">Hours of a model, not mixed with measured ones.</param>
    /// <param name="station">Measured hours.</param>
    /// <param name="zone">Zone of the place, for what is a night.</param>
    /// <param name="now">Nights that end after it are not used.</param>
    public static FrostOffset Learn(HourlyWeather model, HourlyWeather station, DateTimeZone zone, Instant now)
    {
        var nights = new List<double>();
        LocalDate first = station.FirstHourEnd.InZone(zone).Date;
        for (LocalDate date = first; ; date = date.PlusDays(1))
        {
            Instant from = date.At(Evening).InZoneLeniently(zone).ToInstant();
            Instant to = date.PlusDays(1).At(Morning).InZoneLeniently(zone).ToInstant();
            if (to > now || to > station.LastHourEnd)
            {
                return FrostOffset.Estimate(nights.ToArray());
            }

            if (Difference(model, station, from, to) is { } differenceK)
            {
                nights.Add(differenceK);
            }
        }
    }

    private static double? Difference(HourlyWeather model, HourlyWeather station, Instant from, Instant to)
    {
        double lowestModel = double.MaxValue, lowestStation = double.MaxValue, wind = 0, cloud = 0, rain = 0;
        int hours = 0;
        for (Instant end = from + Duration.FromHours(1); end <= to; end += Duration.FromHours(1))
        {
            int m = model.IndexOf(end), s = station.IndexOf(end);
            if (m < 0 || m >= model.Hours || s < 0 || s >= station.Hours
                || double.IsNaN(model[WeatherQuantity.AirC][m]) || double.IsNaN(station[WeatherQuantity.AirC][s]))
            {
                continue;
            }

            hours++;
            lowestModel = Math.Min(lowestModel, model[WeatherQuantity.AirC][m]);
            lowestStation = Math.Min(lowestStation, station[WeatherQuantity.AirC][s]);
            wind += model[WeatherQuantity.WindMPerS][m];
            cloud += model[WeatherQuantity.CloudFrac][m];
            rain += model[WeatherQuantity.PrecipitationMm][m];
        }

        return hours >= FewestHours && RadiationNight.Is(wind / hours, cloud / hours, rain) is true ? lowestStation - lowestModel : null;
    }
}

using System.Globalization;
using System.Text;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.EndToEnd.Tests.Demo;

/// <summary>
/// Makes the weather of the demonstration. All of it is invented: a mild spring, then a week with a hot spell, a gale and a
/// frost night, in the shape in which the open forecast API replies. No place ever had it.
/// </summary>
internal static class InventedWeather
{
    private const double LatitudeDeg = 48.02;
    private const double LongitudeDeg = 9.06;
    private static readonly LocalDate FirstDay = new(2026, 3, 18);
    private static readonly LocalDate HotDay = new(2026, 5, 13);
    private const int Days = 66;

    internal static string Json()
    {
        Instant start = FirstDay.AtMidnight().InUtc().ToInstant();
        var hours = new List<Hour>();
        var weather = new WeatherOfADay();
        for (int i = 0; i < Days * 24; i++)
        {
            Instant end = start + Duration.FromHours(i);
            hours.Add(weather.At(end, DayFrom(end)));
        }

        var text = new StringBuilder();
        text.Append("{\"_note\":\"Invented weather for the demonstration of GraftWatch; no place ever had it.\",\n");
        text.Append(CultureInfo.InvariantCulture, $"\"latitude\":{LatitudeDeg},\"longitude\":{LongitudeDeg},\"generationtime_ms\":0.0,\"utc_offset_seconds\":0,\n");
        text.Append("\"timezone\":\"GMT\",\"timezone_abbreviation\":\"GMT\",\"elevation\":465.0,\n");
        text.Append("\"hourly_units\":{\"time\":\"iso8601\",\"temperature_2m\":\"°C\",\"relative_humidity_2m\":\"%\",\"dew_point_2m\":\"°C\",\"cloud_cover\":\"%\",");
        text.Append("\"wind_speed_10m\":\"m/s\",\"wind_gusts_10m\":\"m/s\",\"wind_direction_10m\":\"°\",\"shortwave_radiation\":\"W/m²\",\"precipitation\":\"mm\",");
        text.Append("\"soil_temperature_6cm\":\"°C\",\"soil_temperature_18cm\":\"°C\",\"soil_moisture_3_to_9cm\":\"m³/m³\"},\n\"hourly\":{\n");
        text.Append("\"time\":[").AppendJoin(',', Enumerable.Range(0, hours.Count).Select(i => Stamp(start + Duration.FromHours(i)))).Append("],\n");
        Column(text, "temperature_2m", hours.Select(h => h.AirC), "0.0");
        Column(text, "relative_humidity_2m", hours.Select(h => h.HumidityPct), "0");
        Column(text, "dew_point_2m", hours.Select(h => h.DewPointC), "0.0");
        Column(text, "cloud_cover", hours.Select(h => 100 * h.CloudFrac), "0");
        Column(text, "wind_speed_10m", hours.Select(h => h.WindMPerS), "0.0");
        Column(text, "wind_gusts_10m", hours.Select(h => h.GustMPerS), "0.0");
        Column(text, "wind_direction_10m", hours.Select(h => h.FromDeg), "0");
        Column(text, "shortwave_radiation", hours.Select(h => h.GlobalWPerM2), "0");
        Column(text, "precipitation", hours.Select(h => h.RainMm), "0.0");
        Column(text, "soil_temperature_6cm", hours.Select(h => h.SoilC), "0.0");
        Column(text, "soil_temperature_18cm", hours.Select(h => h.DeepSoilC), "0.0");
        Column(text, "soil_moisture_3_to_9cm", hours.Select(h => h.SoilWater), "0.00");
        text.Length -= 2;
        return text.Append("\n}}\n").ToString();
    }

    private static double DayFrom(Instant end) =>
        (end - HotDay.AtMidnight().InUtc().ToInstant()).TotalDays;

    private static string Stamp(Instant end) =>
        '"' + InstantPattern.CreateWithInvariantCulture("uuuu-MM-dd'T'HH:mm").Format(end) + '"';

    private static void Column(StringBuilder text, string name, IEnumerable<double> values, string format)
    {
        text.Append('"').Append(name).Append("\":[");
        text.AppendJoin(',', values.Select(value => (Math.Round(value, 2) + 0.0).ToString(format, CultureInfo.InvariantCulture)));
        text.Append("],\n");
    }

    private sealed record Hour(
        double AirC, double HumidityPct, double DewPointC, double CloudFrac, double WindMPerS, double GustMPerS, double FromDeg,
        double GlobalWPerM2, double RainMm, double SoilC, double DeepSoilC, double SoilWater);

    /// <summary>Day values by days from the hot day (day 0), joined by straight lines.</summary>
    private sealed class WeatherOfADay
    {
        private static readonly double[] Knots = [-60, -50, -42, -35, -28, -21, -14, -8, -5, -3, -2, -1, 0, 1, 2, 3, 4, 5, 6, 8, 10, 12];
        private static readonly double[] MeanC = [5, 7, 6, 9, 11, 10, 12, 13, 14, 15, 17, 19.5, 21.5, 16.5, 8.5, 5.5, 6.5, 9.5, 12, 14, 15, 15];
        private static readonly double[] SwingK = [4, 5, 3.5, 6, 6.5, 5, 6, 6, 6.5, 7, 8, 8.5, 9, 5.5, 4.5, 7.8, 8.5, 7, 6, 6, 6, 6];
        private static readonly double[] Cloud = [0.6, 0.4, 0.8, 0.3, 0.3, 0.7, 0.4, 0.5, 0.4, 0.3, 0.15, 0.05, 0.05, 0.7, 0.75, 0.1, 0.05, 0.2, 0.5, 0.5, 0.4, 0.4];
        private static readonly double[] Wind = [3, 3, 4, 2.5, 2.5, 3.5, 2.5, 3, 2.5, 2, 2, 1.5, 1.6, 9.5, 6, 1.2, 1.0, 2, 3, 2.5, 2.5, 2.5];
        private static readonly double[] DewC = [1, 2, 3, 3, 4, 6, 5, 7, 7, 8, 8.5, 9, 9, 9, 2, -3.5, -4, 1, 6, 7, 8, 8];
        private static readonly double[] RainMmADay = [2, 0, 6, 0, 0, 5, 0, 3, 1, 0, 0, 0, 0, 9, 4, 0, 0, 0, 1, 0.5, 0, 0];
        private uint noise = 20_260_513;
        private double soilC = 5;
        private double deepSoilC = 5;
        private double soilWater = 0.31;

        internal Hour At(Instant end, double day)
        {
            ZonedDateTime sunTime = end.InZone(DateTimeZone.ForOffset(Offset.FromHoursAndMinutes(0, 36)));
            double clock = sunTime.TimeOfDay.TickOfDay / (double)NodaConstants.TicksPerHour;
            double airC = Between(MeanC, day) + Between(SwingK, day) * Math.Cos((clock - 15) * Math.PI / 12) + 0.4 * Noise();
            double dewC = Math.Min(airC - 0.2, Between(DewC, day) + 0.5 * Noise());
            double cloud = Math.Clamp(Between(Cloud, day) + 0.12 * Noise(), 0, 1);
            double calmAtNight = 0.75 + 0.45 * Math.Cos((clock - 14) * Math.PI / 12);
            double gale = Math.Exp(-Math.Pow((day - 1.55) / 0.16, 2));
            double wind = Math.Max(0.3, Between(Wind, day) * calmAtNight + 4.0 * gale + 0.3 * Noise());
            double gust = wind * (1.55 + 0.05 * Noise()) + 3 * gale;
            double rain = Between(RainMmADay, day) is var wet && wet > 0.4 && Noise() > 0.45 ? wet / 6 * (1 + Noise()) : 0;
            double global = Global(end, cloud);
            soilC += (airC + 0.006 * global - soilC) / 14;
            deepSoilC += (soilC - deepSoilC) / 40;
            soilWater = Math.Clamp(soilWater + 0.004 * rain - 0.00000035 * global * 3.0 - 0.00001, 0.12, 0.36);
            double humidity = 100 * Vapour(dewC) / Vapour(airC);
            return new Hour(airC, humidity, dewC, cloud, wind, gust, day > 1 ? 285 : 190 + 40 * Noise(), global, rain, soilC, deepSoilC, soilWater);
        }

        private static double Between(double[] values, double day)
        {
            int right = Array.FindIndex(Knots, knot => knot > day);
            if (right < 0)
            {
                return values[^1];
            }

            if (right == 0)
            {
                return values[0];
            }

            double share = (day - Knots[right - 1]) / (Knots[right] - Knots[right - 1]);
            return values[right - 1] + share * (values[right] - values[right - 1]);
        }

        // Mean of the hour before the stamp: clear sky by Haurwitz (1945), cloud by Kasten and Czeplak (1980), both from memory.
        private static double Global(Instant end, double cloud)
        {
            double sum = 0;
            for (int minute = 5; minute < 60; minute += 10)
            {
                double cosZenith = CosZenith(end - Duration.FromMinutes(minute));
                sum += cosZenith > 0.02 ? 1098 * cosZenith * Math.Exp(-0.057 / cosZenith) : 0;
            }

            return sum / 6 * (1 - 0.75 * Math.Pow(cloud, 3.4));
        }

        private static double CosZenith(Instant at)
        {
            ZonedDateTime utc = at.InUtc();
            double year = 2 * Math.PI * (utc.DayOfYear - 1) / 365;
            double declination = 0.006918 - 0.399912 * Math.Cos(year) + 0.070257 * Math.Sin(year) - 0.006758 * Math.Cos(2 * year) + 0.000907 * Math.Sin(2 * year);
            double equationMinutes = 229.18 * (0.000075 + 0.001868 * Math.Cos(year) - 0.032077 * Math.Sin(year) - 0.014615 * Math.Cos(2 * year) - 0.040849 * Math.Sin(2 * year));
            double hourAngle = (utc.TimeOfDay.TickOfDay / (double)NodaConstants.TicksPerHour + (4 * LongitudeDeg + equationMinutes) / 60 - 12) * Math.PI / 12;
            double latitude = LatitudeDeg * Math.PI / 180;
            return Math.Sin(latitude) * Math.Sin(declination) + Math.Cos(latitude) * Math.Cos(declination) * Math.Cos(hourAngle);
        }

        private static double Vapour(double celsius) => 0.6108 * Math.Exp(17.27 * celsius / (celsius + 237.3));

        // A small congruential generator, so that the file is the same on every machine.
        private double Noise()
        {
            noise = unchecked(noise * 1_664_525 + 1_013_904_223);
            return noise / (double)uint.MaxValue * 2 - 1;
        }
    }
}

using System.Globalization;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.Microclimate.Tests.Unions;

/// <summary>The measured year 2015 beside an apple orchard in Massachusetts: hourly means by the hour's start, UTC-5.</summary>
public sealed class OrchardYear
{
    private OrchardYear(int hours)
    {
        AirC = new double[hours];
        HumidityPct = new double[hours];
        WindMPerS = new double[hours];
        TowerC = new double[hours];
        GlobalWPerM2 = new double[hours];
        RainMm = new double[hours];
    }

    public static Site Place { get; } = new() { LatitudeDeg = 42.449653, LongitudeDeg = -72.680315, ElevationM = 258 };

    public static Instant FirstHourEnd { get; } = Instant.FromUtc(2015, 1, 1, 6, 0);

    public int Hours => AirC.Length;

    public double[] AirC { get; }

    public double[] HumidityPct { get; }

    public double[] WindMPerS { get; }

    public double[] TowerC { get; }

    public double[] GlobalWPerM2 { get; }

    public double[] RainMm { get; }

    public static OrchardYear LoadOrSkip()
    {
        string[] lines = File.ReadAllLines(SharedData.PathOrSkip("macleish_whately_ma_2015_hourly.csv"));
        var year = new OrchardYear(lines.Length - 1);
        for (int i = 0; i < year.Hours; i++)
        {
            string[] cells = lines[i + 1].Split(',');
            double orchardC = Number(cells[1]), orchardPct = Number(cells[2]);
            year.TowerC[i] = Number(cells[4]);
            year.AirC[i] = double.IsNaN(orchardC) ? year.TowerC[i] : orchardC;
            year.HumidityPct[i] = double.IsNaN(orchardC) || double.IsNaN(orchardPct) ? Number(cells[5]) : orchardPct;
            year.WindMPerS[i] = Number(cells[3]);
            year.GlobalWPerM2[i] = Number(cells[8]);
            year.RainMm[i] = Number(cells[9]);
        }

        return year;
    }

    /// <summary>The year as weather: the instant at a stamp is the mean of the hour before and the hour after.</summary>
    public HourlyWeather ToWeather() => new HourlyWeather.Builder(FirstHourEnd, Hours)
        .SetColumn(WeatherQuantity.AirC, Instants(AirC), WeatherOrigin.Measured)
        .SetColumn(WeatherQuantity.HumidityPct, Instants(HumidityPct), WeatherOrigin.Measured)
        .SetColumn(WeatherQuantity.WindMPerS, Instants(WindMPerS), WeatherOrigin.Measured)
        .SetColumn(WeatherQuantity.GlobalWPerM2, GlobalWPerM2, WeatherOrigin.Measured)
        .SetColumn(WeatherQuantity.PrecipitationMm, RainMm, WeatherOrigin.Measured)
        .Build();

    private static double[] Instants(double[] means)
    {
        var instants = new double[means.Length];
        for (int i = 0; i < means.Length; i++)
        {
            instants[i] = i + 1 < means.Length ? 0.5 * (means[i] + means[i + 1]) : means[i];
        }

        return instants;
    }

    private static double Number(string cell) =>
        double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) ? value : double.NaN;
}

using GraftWatch.Microclimate.Longwave;
using GraftWatch.Microclimate.Radiation;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Microclimate.Stem;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Testing;
using NodaTime;
using Air = GraftWatch.Microclimate.Humidity.Humidity;

namespace GraftWatch.Microclimate.Tests.Unions;

/// <summary>A whole measured year: the balance against an independent script, and the whole pipeline against the balance.</summary>
public class OrchardYearTests
{
    private const double Aspect = 225 * Math.PI / 180;

    [Fact]
    public void The_statistics_of_the_year_are_those_of_an_independent_script()
    {
        OrchardYear year = OrchardYear.LoadOrSkip();
        double[] cloudFrac = Clouds(year);
        foreach (VectorRow row in VectorFile.Load("Unions/orchard-year-regression.csv").Rows)
        {
            (StemCovers covers, double addedM) = Covers(row.Word("case"));
            Statistics got = Of(year, Simple(year, cloudFrac, covers, addedM, row["diameterM"], row["shadeFrac"]));
            row.Check("dayMeanK", got.DayMeanK);
            row.Check("dayP95K", got.DayP95K);
            row.Check("dayP99K", got.DayP99K);
            row.Check("dayMaxK", got.DayMaxK);
            row.Check("nightMeanK", got.NightMeanK);
            row.Check("nightP5K", got.NightP5K);
            row.Check("hotHours", got.HotHours);
        }
    }

    [Fact]
    public void The_whole_pipeline_stays_near_the_plain_balance_over_the_year()
    {
        // Lag, light from around the sun, rain and hours smoothed from instants move the mean by less than a tenth and the peaks by less than a sixth.
        OrchardYear year = OrchardYear.LoadOrSkip();
        SkyHours sky = SkyHours.Compute(OrchardYear.Place, year.ToWeather());
        foreach (double diameterM in new[] { 0.010, 0.020, 0.040 })
        {
            UnionHours union = UnionClimate.Compute(sky, new UnionExposure { AspectDeg = 225, HeightM = 1, DiameterM = diameterM });
            double[] excess = [.. Enumerable.Range(0, year.Hours).Select(i => union.CambiumC[i] - sky.AirC[i])];
            Statistics whole = Of(year, excess), plain = Of(year, Simple(year, Clouds(year), Covers("bare dark").Covers, 0, diameterM, 0));
            Assert.Equal(plain.DayMeanK, whole.DayMeanK, 0.10 * plain.DayMeanK);
            Assert.Equal(plain.DayP95K, whole.DayP95K, 0.16 * plain.DayP95K);
            Assert.Equal(plain.NightMeanK, whole.NightMeanK, 0.15 * Math.Abs(plain.NightMeanK));
            Assert.Equal(year.Hours - 6, union.CambiumC.Count(double.IsFinite));
        }
    }

    [Fact]
    public void Frost_hours_of_a_bud_outnumber_those_of_the_air()
    {
        OrchardYear year = OrchardYear.LoadOrSkip();
        SkyHours sky = SkyHours.Compute(OrchardYear.Place, year.ToWeather());
        UnionHours union = UnionClimate.Compute(sky, new UnionExposure { AspectDeg = 180, HeightM = 1.5, DiameterM = 0.02 });
        int air = 0, bud = 0;
        for (int i = 0; i < year.Hours; i++)
        {
            LocalDate date = sky.Weather.EndOf(i).InUtc().Date;
            if (date.Month is 4 or 5 && !sky.SunIsUp[i])
            {
                air += sky.AirC[i] <= 0 ? 1 : 0;
                bud += union.BudC[i] <= 0 ? 1 : 0;
                Assert.InRange(union.BudC[i] - sky.AirC[i], -3.5, 0.5);
            }
        }

        Assert.InRange(air, 20, 70);
        Assert.InRange(bud - air, 15, 100);
    }

    /// <summary>The set-up of the table: hour means as they are, isotropic sky, no lag, no rain.</summary>
    private static double[] Simple(OrchardYear year, double[] cloudFrac, StemCovers covers, double addedM, double diameterM, double shadeFrac)
    {
        var balance = new StemBalance(diameterM, addedM, covers, heatCapacityJPerM3K: 0);
        StemMemory memory = StemMemory.None;
        var excess = new double[year.Hours];
        for (int i = 0; i < year.Hours; i++)
        {
            SunPosition sun = SunAt(i);
            double airC = year.AirC[i], global = year.GlobalWPerM2[i], cloud = cloudFrac[i];
            BeamDiffuse parts = BeamDiffuse.Split(global, sun.ZenithDeg, Sunlight.ExtraterrestrialNormalWPerM2(DayOfYear(i)));
            double black = ThermalSky.BlackBodyWPerM2(airC);
            double vapourKPa = Air.VapourPressureFromHumidityKPa(airC, year.HumidityPct[i]);
            double sky = ThermalSky.CloudedEmissivityFrac(ThermalSky.ClearEmissivityFrac(airC, vapourKPa), cloud) * black;
            double groundC = airC + (0.015 * global) - (global < 5 ? 2.5 * (1 - cloud) / (1 + year.WindMPerS[i]) : 0);
            double longwave = (0.5 * sky) + (0.0312 * (1 - cloud) * black) + (0.485 * ThermalSky.BlackBodyWPerM2(groundC));
            var hour = new StemConditions(
                airC,
                0.6036 * year.WindMPerS[i],
                (1 - shadeFrac) * parts.BeamNormalWPerM2 * Math.Sin(sun.ZenithDeg * Math.PI / 180),
                Math.Cos((sun.AzimuthDeg * Math.PI / 180) - Aspect),
                (1 - shadeFrac) * 0.5 * (parts.DiffuseWPerM2 + (0.2 * global)),
                0,
                (1 - (0.6 * shadeFrac)) * (longwave - black),
                0,
                double.NaN,
                double.NaN);
            excess[i] = balance.Solve(hour, ref memory).PatchC - airC;
        }

        return excess;
    }

    private static double[] Clouds(OrchardYear year)
    {
        var cloud = new double[year.Hours];
        int last = -1;
        for (int i = 0; i < year.Hours; i++)
        {
            double cosZenith = Math.Cos(SunAt(i).ZenithDeg * Math.PI / 180);
            cloud[i] = cosZenith > 0.15 ? 1 - Math.Min(1, year.GlobalWPerM2[i] / Sunlight.ClearGlobalWPerM2(cosZenith)) : double.NaN;
            if (double.IsNaN(cloud[i]))
            {
                continue;
            }

            for (int j = last + 1; j < i; j++)
            {
                cloud[j] = last < 0 ? cloud[i] : cloud[last] + ((cloud[i] - cloud[last]) * (j - last) / (i - last));
            }

            last = i;
        }

        Array.Fill(cloud, cloud[last], last + 1, year.Hours - last - 1);
        return cloud;
    }

    private static (StemCovers Covers, double AddedM) Covers(string name) => name switch
    {
        "bare dark" => (new StemCovers([], 0.80, 0.95, false), 0),
        "bare light" => (new StemCovers([], 0.55, 0.95, false), 0),
        "bare white" => (new StemCovers([], 0.25, 0.92, false), 0),
        "stretch film" => (new StemCovers([], 0.72, 0.93, false), 0),
        "foil new" => (new StemCovers([0.15, 0], [0.05, 0], [1 / 0.03]), 0.003),
        "foil old" => (new StemCovers([0.25, 0], [0.10, 0], [1 / 0.03]), 0.003),
        "paper" => (new StemCovers([0.20, 0.1116279], [0.92, 0], [1 / 0.03]), 0.003),
        "padded brown" => (new StemCovers([0.55, 0.0175], [0.90, 0], [1 / 0.10]), 0.003),
        "padded white" => (new StemCovers([0.25, 0.0465], [0.90, 0], [1 / 0.10]), 0.003),
        _ => throw new ArgumentOutOfRangeException(nameof(name), name, "No such cover in the table."),
    };

    private static SunPosition SunAt(int hour) => SunPosition.At(
        OrchardYear.FirstHourEnd + Duration.FromHours(hour) - Duration.FromMinutes(30), OrchardYear.Place.LatitudeDeg, OrchardYear.Place.LongitudeDeg);

    private static int DayOfYear(int hour) => (OrchardYear.FirstHourEnd + Duration.FromHours(hour)).InUtc().DayOfYear;

    private static Statistics Of(OrchardYear year, double[] excessK)
    {
        var day = new List<double>();
        var night = new List<double>();
        int hot = 0;
        for (int i = 0; i < year.Hours; i++)
        {
            if (double.IsNaN(excessK[i]))
            {
                continue;
            }

            hot += year.AirC[i] + excessK[i] > 30 ? 1 : 0;
            if (year.GlobalWPerM2[i] > 50)
            {
                day.Add(excessK[i]);
            }
            else if (year.GlobalWPerM2[i] < 1)
            {
                night.Add(excessK[i]);
            }
        }

        day.Sort();
        night.Sort();
        return new Statistics(day.Average(), Percentile(day, 95), Percentile(day, 99), day[^1], night.Average(), Percentile(night, 5), hot);
    }

    private static double Percentile(List<double> sorted, double percent)
    {
        double at = percent / 100 * (sorted.Count - 1);
        int low = (int)at;
        return sorted[low] + ((at - low) * (sorted[Math.Min(low + 1, sorted.Count - 1)] - sorted[low]));
    }

    private sealed record Statistics(
        double DayMeanK, double DayP95K, double DayP99K, double DayMaxK, double NightMeanK, double NightP5K, int HotHours);
}

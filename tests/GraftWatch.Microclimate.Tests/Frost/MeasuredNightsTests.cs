using GraftWatch.Microclimate.Frost;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Microclimate.Tests.Unions;
using GraftWatch.Microclimate.Unions;
using NodaTime;
using MoistAir = GraftWatch.Microclimate.Humidity.Humidity;

namespace GraftWatch.Microclimate.Tests.Frost;

public class MeasuredNightsTests(ITestOutputHelper output)
{
    [Fact]
    public void An_orchard_below_its_tower_teaches_a_cold_offset_on_clear_calm_nights()
    {
        Night[] nights = ClearCalmNights();
        FrostOffset offset = FrostOffset.Estimate(nights.Select(n => n.MinimumC - n.TowerMinimumC).ToArray());
        output.WriteLine($"{offset}");
        Assert.True(offset.IsLearned && offset.Nights > 20);

        // The open field lies below a 25 m tower on a ridge: colder on clear calm nights, by less than the 2.8 K of its worst hour.
        Assert.InRange(offset.OffsetK, -2.8, -0.3);
        Assert.InRange(offset.OffsetK / offset.MedianK, 0.8, 1);
    }

    [Fact]
    public void The_handbook_regression_errs_by_about_two_kelvin_on_nights_it_has_not_seen()
    {
        // The handbook fits frost nights; here all clear calm nights whose evening is cool enough to be watched.
        Night[] nights = ClearCalmNights().Where(n => n.EveningC < 10).ToArray();
        Night[] teaching = nights.Where((_, i) => i % 2 == 0).ToArray(), unseen = nights.Where((_, i) => i % 2 == 1).ToArray();
        MinimumForecast fit = Assert.NotNull(MinimumForecast.Fit(
            teaching.Select(n => n.EveningC).ToArray(),
            teaching.Select(n => n.DewPointC).ToArray(),
            teaching.Select(n => n.MinimumC).ToArray()));
        double rmse = Root(unseen.Select(n => fit.PredictC(n.EveningC, n.DewPointC) - n.MinimumC));
        double meanDrop = teaching.Average(n => n.MinimumC - n.EveningC);
        double byDrop = Root(unseen.Select(n => n.EveningC + meanDrop - n.MinimumC));
        output.WriteLine($"{nights.Length} nights, fit {fit}, unseen RMSE {rmse:F2} K, by the mean drop {byDrop:F2} K");
        Assert.True(nights.Length > 20);
        Assert.InRange(rmse, fit.RootMeanSquareK, 2.5);
    }

    private static double Root(IEnumerable<double> misses) => Math.Sqrt(misses.Average(m => m * m));

    private static Night[] ClearCalmNights()
    {
        OrchardYear year = OrchardYear.LoadOrSkip();
        SkyHours sky = SkyHours.Compute(OrchardYear.Place, year.ToWeather());
        var nights = new List<Night>();
        for (LocalDate date = new(2015, 3, 1); date < new LocalDate(2015, 11, 1); date = date.PlusDays(1))
        {
            Instant evening = SunTimes.Of(date, OrchardYear.Place.LatitudeDeg, OrchardYear.Place.LongitudeDeg).Sunset!.Value + Duration.FromHours(2);
            Instant sunrise = SunTimes.Of(date.PlusDays(1), OrchardYear.Place.LatitudeDeg, OrchardYear.Place.LongitudeDeg).Sunrise!.Value;
            int from = sky.Weather.IndexOf(evening), to = sky.Weather.IndexOf(sunrise);
            Range night = from..(to + 1);
            if (RadiationNight.Is(year.WindMPerS[night].Average(), sky.CloudFrac[night].Average(), year.RainMm[night].Sum()) == true)
            {
                nights.Add(new Night(
                    year.AirC[from],
                    MoistAir.DewPointFromHumidityC(year.AirC[from], year.HumidityPct[from]),
                    year.AirC[night].Min(),
                    year.TowerC[night].Min()));
            }
        }

        return [.. nights.Where(n => double.IsFinite(n.EveningC + n.DewPointC + n.MinimumC + n.TowerMinimumC))];
    }

    private sealed record Night(double EveningC, double DewPointC, double MinimumC, double TowerMinimumC);
}

using CsCheck;
using GraftWatch.Microclimate.Frost;

namespace GraftWatch.Microclimate.Tests.Frost;

public class FrostPropertyTests
{
    [Fact]
    public void A_straight_relation_is_found_exactly() =>
        Gen.Select(Gen.Double[0.2, 1], Gen.Double[-10, 0], Gen.Double[-2, 12].Array[5, 20].Where(t => t.Max() - t.Min() > 1)).Sample((slope, intercept, evenings) =>
        {
            // Evenings that are all alike hold no slope to find.
            double[] minima = evenings.Select(t => (slope * t) + intercept).ToArray();
            MinimumForecast fit = Assert.NotNull(MinimumForecast.Fit(evenings, [], minima));
            Assert.Equal(slope, fit.AirSlope, 1e-6);
            Assert.Equal(intercept, fit.AirInterceptC, 1e-5);
            Assert.Equal(0, fit.RootMeanSquareK, 1e-6);
            Assert.Equal((slope * 3) + intercept, fit.PredictC(3, double.NaN), 1e-5);
        });

    [Fact]
    public void A_colder_thermometer_shifts_the_forecast_and_nothing_else() =>
        Gen.Double[-5, 5].Sample(shift =>
        {
            MinimumForecast plain = Assert.NotNull(MinimumForecast.Fit(FrostVectorTests.EveningC, FrostVectorTests.DewPointC, FrostVectorTests.MinimumC));
            double[] shifted = FrostVectorTests.MinimumC.Select(t => t + shift).ToArray();
            MinimumForecast moved = Assert.NotNull(MinimumForecast.Fit(FrostVectorTests.EveningC, FrostVectorTests.DewPointC, shifted));
            Assert.Equal(plain.PredictC(4, -3) + shift, moved.PredictC(4, -3), 1e-9);
            Assert.Equal(plain.AirSlope, moved.AirSlope, 1e-9);
            Assert.Equal(plain.RootMeanSquareK, moved.RootMeanSquareK, 1e-9);
        });

    [Fact]
    public void Incomplete_nights_are_left_out_and_too_few_give_no_fit()
    {
        double[] air = [.. FrostVectorTests.EveningC, double.NaN, 3];
        double[] dew = [.. FrostVectorTests.DewPointC, -1, double.NaN];
        double[] min = [.. FrostVectorTests.MinimumC, -1, -2];
        Assert.Equal(MinimumForecast.Fit(FrostVectorTests.EveningC, FrostVectorTests.DewPointC, FrostVectorTests.MinimumC), MinimumForecast.Fit(air, dew, min));
        Assert.Null(MinimumForecast.Fit(air.AsSpan(0, 4), dew.AsSpan(0, 4), min.AsSpan(0, 4)));
        Assert.Null(MinimumForecast.Fit([3, 3, 3, 3, 3], [], [-1, -2, -3, -4, -5]));
        Assert.Null(MinimumForecast.Fit([], [], []));
        Assert.Throws<ArgumentException>(() => MinimumForecast.Fit([1.0], [], [1.0, 2]));
        Assert.Throws<ArgumentException>(() => MinimumForecast.Fit([1.0, 2], [1.0], [1.0, 2]));
    }

    [Fact]
    public void Without_dew_points_that_vary_the_second_step_says_nothing()
    {
        double[] same = Enumerable.Repeat(-2.0, 10).ToArray();
        MinimumForecast fit = Assert.NotNull(MinimumForecast.Fit(FrostVectorTests.EveningC, same, FrostVectorTests.MinimumC));
        Assert.Equal((0, 0), (fit.DewSlope, fit.DewInterceptK));
        MinimumForecast withDew = Assert.NotNull(MinimumForecast.Fit(FrostVectorTests.EveningC, FrostVectorTests.DewPointC, FrostVectorTests.MinimumC));
        Assert.True(double.IsNaN(withDew.PredictC(4, double.NaN)));
        Assert.True(double.IsNaN(withDew.PredictC(double.NaN, -3)));
    }

    [Fact]
    public void The_cooling_curve_runs_from_evening_to_minimum_and_its_inverse_finds_the_hour() =>
        Gen.Select(Gen.Double[-5, 15], Gen.Double[0.5, 15], Gen.Double[4, 14], Gen.Double[0, 1]).Sample((evening, drop, night, share) =>
        {
            double minimum = evening - drop, hour = share * night;
            Assert.Equal(evening, CoolingCurve.AirC(evening, minimum, 0, night));
            Assert.Equal(minimum, CoolingCurve.AirC(evening, minimum, night, night), 1e-9);
            double critical = CoolingCurve.AirC(evening, minimum, hour, night);
            Assert.Equal(hour, CoolingCurve.HoursUntil(evening, minimum, critical, night), 1e-6);
        });

    [Fact]
    public void The_cooling_curve_knows_nothing_outside_its_night()
    {
        Assert.True(double.IsNaN(CoolingCurve.AirC(5, -2, -0.1, 10)));
        Assert.True(double.IsNaN(CoolingCurve.AirC(5, -2, 10.1, 10)));
        Assert.True(double.IsNaN(CoolingCurve.AirC(5, -2, 1, 0)));
        Assert.True(double.IsNaN(CoolingCurve.AirC(double.NaN, -2, 1, 10)));
        Assert.Equal(0, CoolingCurve.HoursUntil(1, -3, 2, 10));
        Assert.Equal(double.PositiveInfinity, CoolingCurve.HoursUntil(5, 2, 0, 10));
        Assert.True(double.IsNaN(CoolingCurve.HoursUntil(5, double.NaN, 0, 10)));
        Assert.True(double.IsNaN(CoolingCurve.HoursUntil(5, 2, 0, double.NaN)));
    }

    [Fact]
    public void An_offset_keeps_its_sign_never_exceeds_the_median_and_grows_with_nights() =>
        Gen.Select(Gen.Double[-4, -0.2], Gen.Double[0.1, 2], Gen.Bool).Sample((colder, scatter, warm) =>
        {
            double offset = warm ? -colder : colder, previous = 0;
            foreach (int n in new[] { 5, 10, 40, 400 })
            {
                double[] nights = Enumerable.Range(0, n).Select(i => offset + (scatter * (((i * 7) % n / (n - 1.0)) - 0.5))).ToArray();
                FrostOffset estimate = FrostOffset.Estimate(nights);
                Assert.True(estimate.IsLearned);
                Assert.True(estimate.OffsetK * estimate.MedianK >= 0);
                Assert.True(Math.Abs(estimate.OffsetK) <= Math.Abs(estimate.MedianK));
                Assert.True(Math.Abs(estimate.OffsetK / estimate.MedianK) >= previous - 0.02);
                previous = Math.Abs(estimate.OffsetK / estimate.MedianK);
            }

            Assert.InRange(previous, 0.98, 1);
        });

    [Fact]
    public void The_median_is_drawn_in_by_its_own_variance_against_that_between_places()
    {
        // Median -2, median deviation 1: spread 1.4826, variance of the median of five π/2 · 1.4826²/5 = 0.69056; 2.25/(2.25 + 0.69056).
        FrostOffset estimate = FrostOffset.Estimate([-4, -3, -2, -1, 0]);
        Assert.Equal(1.4826, estimate.SpreadK, 1e-12);
        Assert.Equal(-2 * 0.765161, estimate.OffsetK, 1e-4);
    }

    [Fact]
    public void One_wild_night_hardly_moves_an_offset()
    {
        double[] calm = [-1.2, -0.8, -1.0, -1.1, -0.9, -1.3, -0.7, -1.0];
        double plain = FrostOffset.Estimate(calm).OffsetK;
        double wild = FrostOffset.Estimate([.. calm, 40]).OffsetK;
        Assert.InRange(plain, -1.0, -0.8);
        Assert.InRange(wild - plain, -0.15, 0.15);
    }

    [Fact]
    public void Too_few_nights_teach_nothing_and_say_so()
    {
        FrostOffset few = FrostOffset.Estimate([-2, -2.1, double.NaN, -1.9, -2]);
        Assert.Equal((0, 4, false), (few.OffsetK, few.Nights, few.IsLearned));
        Assert.Equal(-2, few.MedianK);
        FrostOffset none = FrostOffset.Estimate([]);
        Assert.Equal((0, 0), (none.OffsetK, none.Nights));
        Assert.True(double.IsNaN(none.MedianK));
        Assert.Throws<ArgumentException>(() => FrostOffset.Estimate([1], 0));
    }

    [Fact]
    public void Only_clear_calm_dry_nights_count_and_an_unknown_one_is_unknown()
    {
        Assert.True(RadiationNight.Is(1.5, 0.1, 0));
        Assert.False(RadiationNight.Is(2.5, 0.1, 0));
        Assert.False(RadiationNight.Is(1.5, 0.6, 0));
        Assert.False(RadiationNight.Is(1.5, 0.1, 0.2));
        Assert.Null(RadiationNight.Is(double.NaN, 0.1, 0));
        Assert.Null(RadiationNight.Is(1, double.NaN, 0));
        Assert.Null(RadiationNight.Is(1, 0.1, double.NaN));
    }
}

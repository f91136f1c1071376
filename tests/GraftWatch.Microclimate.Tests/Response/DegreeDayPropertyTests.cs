using CsCheck;
using GraftWatch.Microclimate.Response;

namespace GraftWatch.Microclimate.Tests.Response;

public class DegreeDayPropertyTests
{
    private static readonly Gen<(double MinC, double MaxC, double LowerC, double UpperC)> AnyDay =
        Gen.Select(Gen.Double[-20, 40], Gen.Double[0, 25], Gen.Double[-5, 20], Gen.Double[0.5, 25])
            .Select((min, range, lower, span) => (min, min + range, lower, lower + span));

    [Fact]
    public void A_day_is_the_mean_of_its_clipped_curve_whatever_the_case() =>
        AnyDay.Sample(day =>
        {
            const int steps = 20_000;
            double sine = 0, triangle = 0;
            for (int i = 0; i < steps; i++)
            {
                double phase = (i + 0.5) / steps;
                double mean = 0.5 * (day.MinC + day.MaxC), half = 0.5 * (day.MaxC - day.MinC);
                sine += Clip(mean + (half * Math.Sin(2 * Math.PI * phase)), day.LowerC, day.UpperC);
                triangle += Clip(day.MinC + (phase * (day.MaxC - day.MinC)), day.LowerC, day.UpperC);
            }

            Assert.Equal(sine / steps, DegreeDays.SingleSine(day.MinC, day.MaxC, day.LowerC, day.UpperC), 2e-4);
            Assert.Equal(triangle / steps, DegreeDays.SingleTriangle(day.MinC, day.MaxC, day.LowerC, day.UpperC), 2e-4);
        }, iter: 300);

    [Fact]
    public void Bands_of_thresholds_add_up() =>
        Gen.Select(AnyDay, Gen.Double[0.1, 15]).Sample((day, more) =>
        {
            double lower = DegreeDays.SingleSine(day.MinC, day.MaxC, day.LowerC, day.UpperC);
            double upper = DegreeDays.SingleSine(day.MinC, day.MaxC, day.UpperC, day.UpperC + more);
            double both = DegreeDays.SingleSine(day.MinC, day.MaxC, day.LowerC, day.UpperC + more);
            Assert.Equal(both, lower + upper, 1e-9);
        });

    [Fact]
    public void Warmer_days_never_count_less_and_no_day_counts_more_than_the_band() =>
        Gen.Select(AnyDay, Gen.Double[0, 10]).Sample((day, warmer) =>
        {
            double sine = DegreeDays.SingleSine(day.MinC, day.MaxC, day.LowerC, day.UpperC);
            double triangle = DegreeDays.SingleTriangle(day.MinC, day.MaxC, day.LowerC, day.UpperC);
            Assert.InRange(sine, 0, day.UpperC - day.LowerC + 1e-12);
            Assert.InRange(triangle, 0, day.UpperC - day.LowerC + 1e-12);
            Assert.True(DegreeDays.SingleSine(day.MinC, day.MaxC + warmer, day.LowerC, day.UpperC) >= sine - 1e-12);
            Assert.True(DegreeDays.SingleTriangle(day.MinC + warmer, day.MaxC + warmer, day.LowerC, day.UpperC) >= triangle - 1e-12);
        });

    [Fact]
    public void A_steady_day_counts_its_excess_by_every_method()
    {
        Assert.Equal(7, DegreeDays.SingleSine(17, 17, 10, 30));
        Assert.Equal(7, DegreeDays.SingleTriangle(17, 17, 10, 30));
        Assert.Equal(7, DegreeDays.Hourly(Enumerable.Repeat(17.0, 24).ToArray(), 10, 30), 1e-12);
        Assert.Equal(20, DegreeDays.SingleSine(41, 41, 10, 30));
        Assert.Equal(31, DegreeDays.SingleTriangle(41, 41, 10, double.PositiveInfinity));
        Assert.Equal(31, DegreeDays.SingleSine(41, 41, 10, double.PositiveInfinity));
    }

    [Fact]
    public void Gaps_and_days_upside_down_are_not_numbers()
    {
        Assert.True(double.IsNaN(DegreeDays.SingleSine(double.NaN, 20, 10, 30)));
        Assert.True(double.IsNaN(DegreeDays.SingleTriangle(10, double.NaN, 10, 30)));
        Assert.True(double.IsNaN(DegreeDays.SingleSine(20, 10, 10, 30)));
        Assert.True(double.IsNaN(DegreeDays.SingleTriangle(20, 10, 10, 30)));
        Assert.True(double.IsNaN(DegreeDays.Hourly([12, double.NaN, 13], 10, 30)));
        Assert.Equal(0, DegreeDays.Hourly([], 10, 30));
        Assert.Throws<ArgumentException>(() => DegreeDays.SingleSine(10, 20, 30, 30));
        Assert.Throws<ArgumentException>(() => DegreeDays.SingleTriangle(10, 20, double.NaN, 30));
        Assert.Throws<ArgumentException>(() => DegreeDays.Hourly([1], 30, 10));
    }

    private static double Clip(double t, double lower, double upper) => Math.Max(Math.Min(t, upper) - lower, 0);
}

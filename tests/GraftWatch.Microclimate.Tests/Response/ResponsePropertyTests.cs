using CsCheck;
using GraftWatch.Microclimate.Response;

namespace GraftWatch.Microclimate.Tests.Response;

public class ResponsePropertyTests
{
    private static readonly Gen<CardinalTemperatures> AnyCardinals =
        Gen.Select(Gen.Double[-10, 15], Gen.Double[1, 30], Gen.Double[1, 30], (min, up, down) => new CardinalTemperatures(min, min + up, min + up + down));

    [Fact]
    public void Rates_stay_between_0_and_1_and_are_1_at_the_optimum() =>
        Gen.Select(AnyCardinals, Gen.Double[-40, 80]).Sample((c, t) =>
        {
            foreach (double rate in new[] { WangEngel.Rate(t, c), YanHunt.Rate(t, c) })
            {
                Assert.InRange(rate, 0, 1 + 1e-12);
                Assert.True(rate > 0 == (t > c.MinC && t < c.MaxC) || rate < 1e-9);
            }

            Assert.Equal(1, WangEngel.Rate(c.OptimumC, c), 1e-12);
            Assert.Equal(1, YanHunt.Rate(c.OptimumC, c), 1e-12);
        });

    [Fact]
    public void Rates_rise_to_the_optimum_and_fall_after_it() =>
        Gen.Select(AnyCardinals, Gen.Double[0, 1], Gen.Double[0, 1]).Sample((c, a, b) =>
        {
            (double low, double high) = (Math.Min(a, b), Math.Max(a, b));
            double At(double share, bool below) => below
                ? c.MinC + (share * (c.OptimumC - c.MinC))
                : c.OptimumC + (share * (c.MaxC - c.OptimumC));
            Assert.True(WangEngel.Rate(At(low, true), c) <= WangEngel.Rate(At(high, true), c) + 1e-12);
            Assert.True(WangEngel.Rate(At(low, false), c) >= WangEngel.Rate(At(high, false), c) - 1e-12);
            Assert.True(YanHunt.Rate(At(low, true), c) <= YanHunt.Rate(At(high, true), c) + 1e-12);
            Assert.True(YanHunt.Rate(At(low, false), c) >= YanHunt.Rate(At(high, false), c) - 1e-12);
        });

    [Fact]
    public void With_the_optimum_half_way_both_are_the_same_parabola() =>
        Gen.Select(Gen.Double[-10, 15], Gen.Double[1, 30], Gen.Double[-1, 1]).Sample((min, half, share) =>
        {
            var c = new CardinalTemperatures(min, min + half, min + (2 * half));
            double t = c.OptimumC + (share * half * 0.999);
            double parabola = 1 - Math.Pow((t - c.OptimumC) / half, 2);
            Assert.Equal(parabola, WangEngel.Rate(t, c), 1e-9);
            Assert.Equal(parabola, YanHunt.Rate(t, c), 1e-9);
        });

    [Fact]
    public void A_run_of_hours_is_its_hours_one_by_one_and_gaps_stay_gaps()
    {
        var c = new CardinalTemperatures(5, 27, 40);
        double[] hours = [4, double.NaN, 5, 20, 27, 39.9, 40, double.NegativeInfinity, double.PositiveInfinity];
        var wang = new double[hours.Length];
        WangEngel.Compute(hours, c, wang);
        var yan = (double[])hours.Clone();
        YanHunt.Compute(yan, c, yan);
        for (int i = 0; i < hours.Length; i++)
        {
            Assert.Equal(WangEngel.Rate(hours[i], c), wang[i]);
            Assert.Equal(YanHunt.Rate(hours[i], c), yan[i]);
            Assert.Equal(double.IsNaN(hours[i]), double.IsNaN(wang[i]));
        }

        WangEngel.Compute([], c, []);
        Assert.Throws<ArgumentException>(() => WangEngel.Compute([1, 2], c, new double[1]));
        Assert.Throws<ArgumentException>(() => YanHunt.Compute([1, 2], c, new double[3]));
    }

    [Fact]
    public void Default_cardinals_are_no_response()
    {
        Assert.True(double.IsNaN(WangEngel.Rate(20, default)));
        Assert.True(double.IsNaN(YanHunt.Rate(20, default)));
    }

    [Theory]
    [InlineData(5, 5, 40)]
    [InlineData(5, 40, 27)]
    [InlineData(double.NaN, 20, 30)]
    [InlineData(5, double.NaN, 30)]
    [InlineData(5, 20, double.PositiveInfinity)]
    public void Cardinals_that_do_not_rise_are_refused(double min, double optimum, double max) =>
        Assert.Throws<ArgumentException>(() => new CardinalTemperatures(min, optimum, max));

    [Fact]
    public void Lactin_passes_gaps_on() => Assert.True(double.IsNaN(new Lactin(0.0118, 38, 1.2, -1.09).Rate(double.NaN)));

    [Fact]
    public void A_table_meets_its_points_lies_between_its_neighbours_and_holds_its_ends()
    {
        Gen<double[]> steps = Gen.Double[0.01, 5].Array[2, 12];
        Gen.Select(steps, Gen.Double[-3, 3].Array[12], Gen.Double[-10, 70]).Sample((gaps, values, at) =>
        {
            double[] x = gaps.Select((_, i) => gaps[..(i + 1)].Sum()).ToArray();
            double[] y = values[..x.Length];
            var table = new PiecewiseLinear(x, y);
            for (int i = 0; i < x.Length; i++)
            {
                Assert.Equal(y[i], table.Value(x[i]));
            }

            Assert.Equal(y[0], table.Value(x[0] - 1));
            Assert.Equal(y[^1], table.Value(x[^1] + 1));
            Assert.Equal(Naive(x, y, at), table.Value(at), 1e-9);
        });
        Assert.True(double.IsNaN(new PiecewiseLinear([0, 1], [0, 1]).Value(double.NaN)));
        Assert.Equal(2, new PiecewiseLinear([0, 1], [0, 1]).Points);
        var run = new double[3];
        new PiecewiseLinear([0, 1], [0, 10]).Compute([-1, 0.25, double.NaN], run);
        Assert.Equal([0, 2.5, double.NaN], run);
    }

    [Fact]
    public void A_table_that_is_no_table_is_refused()
    {
        Assert.Throws<ArgumentException>(() => new PiecewiseLinear([1], [1]));
        Assert.Throws<ArgumentException>(() => new PiecewiseLinear([1, 2], [1]));
        Assert.Throws<ArgumentException>(() => new PiecewiseLinear([1, 1], [1, 2]));
        Assert.Throws<ArgumentException>(() => new PiecewiseLinear([2, 1], [1, 2]));
        Assert.Throws<ArgumentException>(() => new PiecewiseLinear([1, double.NaN], [1, 2]));
        Assert.Throws<ArgumentException>(() => new PiecewiseLinear([1, 2], [1, double.PositiveInfinity]));
    }

    [Fact]
    public void Heat_dose_adds_up_and_doubles_with_each_kelvin() =>
        Gen.Select(Gen.Double[30, 60], Gen.Double[0, 10], Gen.Double[0, 10]).Sample((t, first, second) =>
        {
            foreach (HeatTissue tissue in Enum.GetValues<HeatTissue>())
            {
                double once = HeatDose.Add(0, t, first + second, tissue);
                double twice = HeatDose.Add(HeatDose.Add(0, t, first, tissue), t, second, tissue);
                Assert.Equal(once, twice, 1e-9 * Math.Max(1, once));
                Assert.Equal(0.5, HeatDose.HoursToDamage(t + 1, tissue) / HeatDose.HoursToDamage(t, tissue), 1e-12);
                Assert.Equal(1, HeatDose.Add(0, t, HeatDose.HoursToDamage(t, tissue), tissue), 1e-12);
            }

            Assert.True(HeatDose.HoursToDamage(t, HeatTissue.Woody) > HeatDose.HoursToDamage(t, HeatTissue.Soft));
        });

    [Fact]
    public void Heat_dose_of_a_run_keeps_gaps_and_of_a_mild_month_is_small()
    {
        Assert.True(double.IsNaN(HeatDose.OfHours([30, double.NaN], HeatTissue.Soft)));
        Assert.Equal(0, HeatDose.OfHours([], HeatTissue.Woody));
        Assert.InRange(HeatDose.OfHours(Enumerable.Repeat(30.0, 30 * 24).ToArray(), HeatTissue.Soft), 0.001, 0.01);
        Assert.Equal(1, HeatDose.OfHours(Enumerable.Repeat(44.0, 8).ToArray(), HeatTissue.Soft), 1e-12);
    }

    private static double Naive(double[] x, double[] y, double at)
    {
        for (int i = 1; i < x.Length; i++)
        {
            if (at >= x[i - 1] && at <= x[i])
            {
                return (y[i - 1] * (x[i] - at) / (x[i] - x[i - 1])) + (y[i] * (at - x[i - 1]) / (x[i] - x[i - 1]));
            }
        }

        return at < x[0] ? y[0] : y[^1];
    }
}

using CsCheck;
using GraftWatch.Forecasts.Quality;

namespace GraftWatch.Forecasts.Tests.Quality;

public sealed class MonotoneCubicTests
{
    // [FritschButland1984]: for equal steps the slope is the harmonic mean of the neighbours, and nothing at a turning point.
    [Fact]
    public void Inner_slopes_follow_the_three_point_rule()
    {
        double[] slopes = MonotoneCubic.Slopes([(0, 1), (6, 4), (12, 4.5), (18, 2)]);

        // Equal steps: harmonic mean of 0.5 and 1/12.
        Assert.Equal(2 / ((1 / 0.5) + 12), slopes[1], 12);
        Assert.Equal(0, slopes[2]);
    }

    [Fact]
    public void The_curve_stays_between_its_points() =>
        Gen.Double[-40, 40].Array[3, 12].Sample(values =>
        {
            (int Hour, double Value)[] points = [.. values.Select((v, i) => (6 * i, v))];
            double[] slopes = MonotoneCubic.Slopes(points);
            for (int k = 0; k + 1 < points.Length; k++)
            {
                double low = Math.Min(values[k], values[k + 1]) - 1e-9, high = Math.Max(values[k], values[k + 1]) + 1e-9;
                for (int h = 0; h <= 6; h++)
                {
                    double at = MonotoneCubic.At(points, slopes, k, h);
                    if (at < low || at > high)
                    {
                        return false;
                    }
                }
            }

            return true;
        });
}

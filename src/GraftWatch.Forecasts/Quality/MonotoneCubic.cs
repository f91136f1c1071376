namespace GraftWatch.Forecasts.Quality;

/// <summary>Piecewise cubic interpolation that never overshoots its points [FritschCarlson1980], slopes by the three-point rule of [FritschButland1984].</summary>
internal static class MonotoneCubic
{
    /// <summary>Slope at each point. [unit per hour]</summary>
    public static double[] Slopes(IReadOnlyList<(int Hour, double Value)> points)
    {
        var slopes = new double[points.Count];
        for (int i = 1; i + 1 < points.Count; i++)
        {
            double h0 = points[i].Hour - points[i - 1].Hour, h1 = points[i + 1].Hour - points[i].Hour;
            double d0 = (points[i].Value - points[i - 1].Value) / h0, d1 = (points[i + 1].Value - points[i].Value) / h1;

            // At a turning point the curve is level; elsewhere a harmonic mean keeps it between its points.
            slopes[i] = d0 * d1 <= 0 ? 0 : 3 * (h0 + h1) / ((((2 * h1) + h0) / d0) + (((2 * h0) + h1) / d1));
        }

        // The ends keep the slope of their interval, which is monotone as well.
        slopes[0] = (points[1].Value - points[0].Value) / (points[1].Hour - points[0].Hour);
        slopes[^1] = (points[^1].Value - points[^2].Value) / (points[^1].Hour - points[^2].Hour);
        return slopes;
    }

    /// <summary>Value <paramref name="hours"/> after point <paramref name="k"/>.</summary>
    public static double At(IReadOnlyList<(int Hour, double Value)> points, double[] slopes, int k, double hours)
    {
        double width = points[k + 1].Hour - points[k].Hour, t = hours / width;
        double t2 = t * t, t3 = t2 * t;
        return (((2 * t3) - (3 * t2) + 1) * points[k].Value) + ((t3 - (2 * t2) + t) * width * slopes[k])
            + (((-2 * t3) + (3 * t2)) * points[k + 1].Value) + ((t3 - t2) * width * slopes[k + 1]);
    }
}

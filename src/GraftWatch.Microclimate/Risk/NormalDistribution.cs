namespace GraftWatch.Microclimate.Risk;

/// <summary>The standard normal distribution.</summary>
internal static class NormalDistribution
{
    /// <summary>Where the series hands over to the continued fraction. [-]; both reach double precision there.</summary>
    private const double SeriesEnd = 1.5;

    /// <summary>Probability of a value at or below z.</summary>
    /// <param name="z">Standard deviations from the mean. [-], any.</param>
    /// <returns>Probability. [-], 0 to 1, relative accuracy 1e-13 in the lower tail too; NaN where z is NaN.</returns>
    /// <remarks><c>½ erfc(-z/√2)</c>; series [AbramowitzStegun1972] eq. 7.1.6, continued fraction eq. 7.1.14.</remarks>
    internal static double CumulativeFrac(double z)
    {
        if (double.IsNaN(z))
        {
            return double.NaN;
        }

        double x = Math.Abs(z) / Math.Sqrt(2);
        double tail = 0.5 * (x < SeriesEnd ? 1 - ErrorFunctionBySeries(x) : ComplementByFraction(x));
        return z > 0 ? 1 - tail : tail;
    }

    private static double ErrorFunctionBySeries(double x)
    {
        double term = x;
        double sum = x;
        for (int n = 1; n < 200 && term > 1e-18 * sum; n++)
        {
            term *= 2 * x * x / ((2 * n) + 1);
            sum += term;
        }

        return 2 / Math.Sqrt(Math.PI) * Math.Exp(-x * x) * sum;
    }

    private static double ComplementByFraction(double x)
    {
        // Evaluated from the inside out; 150 levels are what double precision needs at 1.5.
        double fraction = x;
        for (int n = 150; n >= 1; n--)
        {
            fraction = x + (0.5 * n / fraction);
        }

        return Math.Exp(-x * x) / (Math.Sqrt(Math.PI) * fraction);
    }
}

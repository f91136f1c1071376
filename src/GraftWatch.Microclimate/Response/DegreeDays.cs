namespace GraftWatch.Microclimate.Response;

/// <summary>Warmth above a lower threshold, counted no higher than an upper one (horizontal cutoff).</summary>
/// <remarks>All methods give NaN where an input is NaN or the day's minimum is above its maximum.</remarks>
public static class DegreeDays
{
    /// <summary>Degree-days of one day whose temperature is a sine between its minimum and maximum.</summary>
    /// <param name="minC">Minimum of the day. [°C]</param>
    /// <param name="maxC">Maximum of the day. [°C], not below <paramref name="minC"/>.</param>
    /// <param name="lowerC">Lower threshold. [°C]</param>
    /// <param name="upperC">Upper threshold. [°C], above <paramref name="lowerC"/>; positive infinity for none.</param>
    /// <returns>Degree-days. [K d], 0 to <c>upperC - lowerC</c>.</returns>
    /// <remarks>[BaskervilleEmin1969], cutoff after [Allen1976]: the mean of the sine clipped to the thresholds, six cases.</remarks>
    /// <exception cref="ArgumentException">The thresholds do not rise.</exception>
    public static double SingleSine(double minC, double maxC, double lowerC, double upperC)
    {
        RequireRising(lowerC, upperC);
        if (!(minC <= maxC))
        {
            return double.NaN;
        }

        double mean = 0.5 * (minC + maxC);
        double halfRangeK = 0.5 * (maxC - minC);
        return SineAbove(mean, halfRangeK, lowerC) - SineAbove(mean, halfRangeK, upperC);
    }

    /// <summary>Degree-days of one day whose temperature is a triangle between its minimum and maximum.</summary>
    /// <param name="minC">Minimum of the day. [°C]</param>
    /// <param name="maxC">Maximum of the day. [°C], not below <paramref name="minC"/>.</param>
    /// <param name="lowerC">Lower threshold. [°C]</param>
    /// <param name="upperC">Upper threshold. [°C], above <paramref name="lowerC"/>; positive infinity for none.</param>
    /// <returns>Degree-days. [K d], 0 to <c>upperC - lowerC</c>.</returns>
    /// <remarks>[Zalom1983] single triangle with horizontal cutoff: every temperature between minimum and maximum lasts equally long.</remarks>
    /// <exception cref="ArgumentException">The thresholds do not rise.</exception>
    public static double SingleTriangle(double minC, double maxC, double lowerC, double upperC)
    {
        RequireRising(lowerC, upperC);
        if (!(minC <= maxC))
        {
            return double.NaN;
        }

        return TriangleAbove(minC, maxC, lowerC) - TriangleAbove(minC, maxC, upperC);
    }

    /// <summary>Degree-days of a run of hours, each counted as one twenty-fourth of a day.</summary>
    /// <param name="temperatureC">Hourly mean temperatures. [°C]; a single NaN makes the sum NaN.</param>
    /// <param name="lowerC">Lower threshold. [°C]</param>
    /// <param name="upperC">Upper threshold. [°C], above <paramref name="lowerC"/>; positive infinity for none.</param>
    /// <returns>Degree-days. [K d]; 0 for no hours.</returns>
    /// <remarks>The definition itself, [Zalom1983]: mean over the day of <c>min(T, upper) - lower</c> where positive.</remarks>
    /// <exception cref="ArgumentException">The thresholds do not rise.</exception>
    public static double Hourly(ReadOnlySpan<double> temperatureC, double lowerC, double upperC)
    {
        RequireRising(lowerC, upperC);
        double sum = 0;
        foreach (double hourC in temperatureC)
        {
            sum += Math.Max(Math.Min(hourC, upperC) - lowerC, 0);
        }

        return sum / 24;
    }

    /// <summary>Mean of a sine's excess over a threshold, 0 where it stays below.</summary>
    private static double SineAbove(double meanC, double halfRangeK, double thresholdC)
    {
        double below = thresholdC - meanC;
        if (below >= halfRangeK)
        {
            return 0;
        }

        if (below <= -halfRangeK)
        {
            return -below;
        }

        double crossing = Math.Asin(below / halfRangeK);
        return ((-below * ((Math.PI / 2) - crossing)) + (halfRangeK * Math.Cos(crossing))) / Math.PI;
    }

    private static double TriangleAbove(double minC, double maxC, double thresholdC)
    {
        if (thresholdC >= maxC)
        {
            return 0;
        }

        double excessK = maxC - thresholdC;
        return thresholdC <= minC
            ? (0.5 * (minC + maxC)) - thresholdC
            : excessK * excessK / (2 * (maxC - minC));
    }

    private static void RequireRising(double lowerC, double upperC)
    {
        if (!(lowerC < upperC))
        {
            throw new ArgumentException($"The upper threshold ({upperC}) must be above the lower one ({lowerC}).", nameof(upperC));
        }
    }
}

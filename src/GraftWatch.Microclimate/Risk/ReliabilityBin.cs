using GraftWatch.Microclimate.Response;

namespace GraftWatch.Microclimate.Risk;

/// <summary>One bin of a reliability diagram: what was said against what came.</summary>
/// <param name="FromFrac">Lower edge of the issued probability. [-], included.</param>
/// <param name="ToFrac">Upper edge. [-], included only in the last bin.</param>
/// <param name="MeanIssuedFrac">Mean issued probability of the bin. [-]; NaN when empty.</param>
/// <param name="ObservedFrac">How often it came. [-]; NaN when empty.</param>
/// <param name="Cases">Cases in the bin. [-]</param>
public readonly record struct ReliabilityBin(double FromFrac, double ToFrac, double MeanIssuedFrac, double ObservedFrac, int Cases)
{
    /// <summary>Fewest cases from which a bin is worth showing. [-], engineering choice.</summary>
    public const int FewestCases = 20;

    /// <summary>Whether the bin holds cases enough to be shown.</summary>
    public bool IsTelling => Cases >= FewestCases;

    /// <summary>Sorts issued probabilities into equal bins.</summary>
    /// <param name="probabilityFrac">Issued probabilities. [-], 0 to 1; NaN leaves the case out.</param>
    /// <param name="came">Whether it came; same length.</param>
    /// <param name="bins">Number of bins. [-], at least 1; ten is usual.</param>
    /// <returns>The bins from low to high.</returns>
    /// <remarks>[Wilks2011] sec. 8.4.</remarks>
    /// <exception cref="ArgumentException">The lengths differ, a probability lies outside 0 to 1, or there are no bins.</exception>
    public static IReadOnlyList<ReliabilityBin> Compute(ReadOnlySpan<double> probabilityFrac, ReadOnlySpan<bool> came, int bins)
    {
        SpanLengths.RequireEqual(probabilityFrac.Length, came.Length, nameof(came));
        ArgumentOutOfRangeException.ThrowIfLessThan(bins, 1);
        var cases = new int[bins];
        var events = new int[bins];
        var issued = new double[bins];
        for (int i = 0; i < came.Length; i++)
        {
            double p = probabilityFrac[i];
            if (double.IsNaN(p))
            {
                continue;
            }

            BrierScore.RequireProbability(p);
            int bin = Math.Min((int)(p * bins), bins - 1);
            cases[bin]++;
            events[bin] += came[i] ? 1 : 0;
            issued[bin] += p;
        }

        var result = new ReliabilityBin[bins];
        for (int b = 0; b < bins; b++)
        {
            result[b] = new ReliabilityBin(
                (double)b / bins,
                (double)(b + 1) / bins,
                cases[b] == 0 ? double.NaN : issued[b] / cases[b],
                cases[b] == 0 ? double.NaN : (double)events[b] / cases[b],
                cases[b]);
        }

        return result;
    }
}

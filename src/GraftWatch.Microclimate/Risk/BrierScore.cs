using GraftWatch.Microclimate.Response;

namespace GraftWatch.Microclimate.Risk;

/// <summary>How good issued probabilities were, and why: score = reliability - resolution + uncertainty.</summary>
/// <param name="Score">Mean squared distance of probability and outcome. [-], 0 perfect, 1 worst.</param>
/// <param name="Reliability">How far frequencies were from what was said; 0 is honest. [-]</param>
/// <param name="Resolution">How far the forecasts told cases apart; more is better. [-]</param>
/// <param name="Uncertainty">How uncertain the event itself is. [-], 0 to 0.25.</param>
/// <param name="Cases">Cases with both probability and outcome. [-]</param>
public readonly record struct BrierScore(double Score, double Reliability, double Resolution, double Uncertainty, int Cases)
{
    /// <summary>Share of the uncertainty removed: 1 perfect, 0 no better than always saying the base rate. [-]; NaN where the event never or always came.</summary>
    public double SkillFrac => Uncertainty > 0 ? 1 - (Score / Uncertainty) : double.NaN;

    /// <summary>Scores issued probabilities.</summary>
    /// <param name="probabilityFrac">Issued probabilities. [-], 0 to 1; NaN leaves the case out.</param>
    /// <param name="came">Whether it came; same length.</param>
    /// <returns>The score and its parts; all NaN without cases.</returns>
    /// <remarks>[Brier1950]; parts after [Murphy1973], grouped by equal probabilities, so the identity is exact.</remarks>
    /// <exception cref="ArgumentException">The lengths differ or a probability lies outside 0 to 1.</exception>
    public static BrierScore Compute(ReadOnlySpan<double> probabilityFrac, ReadOnlySpan<bool> came)
    {
        SpanLengths.RequireEqual(probabilityFrac.Length, came.Length, nameof(came));
        var groups = new SortedDictionary<double, (int Cases, int Events)>();
        double squares = 0;
        int cases = 0;
        int events = 0;
        for (int i = 0; i < came.Length; i++)
        {
            double p = probabilityFrac[i];
            if (double.IsNaN(p))
            {
                continue;
            }

            RequireProbability(p);
            int outcome = came[i] ? 1 : 0;
            (int n, int k) = groups.GetValueOrDefault(p);
            groups[p] = (n + 1, k + outcome);
            squares += (p - outcome) * (p - outcome);
            cases++;
            events += outcome;
        }

        if (cases == 0)
        {
            return new BrierScore(double.NaN, double.NaN, double.NaN, double.NaN, 0);
        }

        double baseRate = (double)events / cases;
        double reliability = 0;
        double resolution = 0;
        foreach ((double p, (int n, int k)) in groups)
        {
            double frequency = (double)k / n;
            reliability += n * (p - frequency) * (p - frequency);
            resolution += n * (frequency - baseRate) * (frequency - baseRate);
        }

        return new BrierScore(squares / cases, reliability / cases, resolution / cases, baseRate * (1 - baseRate), cases);
    }

    internal static void RequireProbability(double p)
    {
        if (p is < 0 or > 1)
        {
            throw new ArgumentException($"A probability lies between 0 and 1, not {p}.", nameof(p));
        }
    }
}

namespace GraftWatch.Microclimate.Response;

/// <summary>The three temperatures that fix a response: nothing happens at or below the first, most at the second, nothing at or above the third.</summary>
/// <remarks>The default value is not a response: functions that take it give NaN.</remarks>
public readonly record struct CardinalTemperatures
{
    /// <summary>Makes a triple.</summary>
    /// <param name="minC">Temperature at and below which the rate is 0. [°C]</param>
    /// <param name="optimumC">Temperature of the fastest rate. [°C], above <paramref name="minC"/>.</param>
    /// <param name="maxC">Temperature at and above which the rate is 0. [°C], above <paramref name="optimumC"/>.</param>
    /// <exception cref="ArgumentException">The three are not finite and in rising order.</exception>
    public CardinalTemperatures(double minC, double optimumC, double maxC)
    {
        if (!double.IsFinite(minC) || !double.IsFinite(maxC) || !(minC < optimumC && optimumC < maxC))
        {
            throw new ArgumentException($"Cardinal temperatures must be finite and rise: {minC}, {optimumC}, {maxC}.");
        }

        MinC = minC;
        OptimumC = optimumC;
        MaxC = maxC;
    }

    /// <summary>Temperature at and below which the rate is 0. [°C]</summary>
    public double MinC { get; }

    /// <summary>Temperature of the fastest rate. [°C]</summary>
    public double OptimumC { get; }

    /// <summary>Temperature at and above which the rate is 0. [°C]</summary>
    public double MaxC { get; }
}

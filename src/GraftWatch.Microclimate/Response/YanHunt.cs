namespace GraftWatch.Microclimate.Response;

/// <summary>The beta temperature response of Yan and Hunt, with a minimum temperature.</summary>
public static class YanHunt
{
    /// <summary>Rate at a temperature as a share of the fastest rate.</summary>
    /// <param name="temperatureC">Tissue temperature. [°C], any.</param>
    /// <param name="cardinals">Minimum, optimum and maximum. [°C]</param>
    /// <returns>Relative rate. [-], 0 to 1; 0 at and outside minimum and maximum, 1 at the optimum; NaN where the temperature is NaN or <paramref name="cardinals"/> is the default value.</returns>
    /// <remarks><c>f = (Tx-T)/(Tx-To) · ((T-Tn)/(To-Tn))^((To-Tn)/(Tx-To))</c>, [YanHunt1999] general form of eq. 4.</remarks>
    public static double Rate(double temperatureC, CardinalTemperatures cardinals)
    {
        double below = cardinals.OptimumC - cardinals.MinC;
        double above = cardinals.MaxC - cardinals.OptimumC;
        if (double.IsNaN(temperatureC) || !(above > 0))
        {
            return double.NaN;
        }

        if (temperatureC <= cardinals.MinC || temperatureC >= cardinals.MaxC)
        {
            return 0;
        }

        return (cardinals.MaxC - temperatureC) / above * Math.Pow((temperatureC - cardinals.MinC) / below, below / above);
    }

    /// <summary>Rates of many hours.</summary>
    /// <param name="temperatureC">Tissue temperatures. [°C]; NaN gives NaN.</param>
    /// <param name="cardinals">Minimum, optimum and maximum. [°C]</param>
    /// <param name="destination">Receives the relative rates [-]; same length, may be the same memory.</param>
    /// <remarks>[YanHunt1999], see <see cref="Rate"/>.</remarks>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public static void Compute(ReadOnlySpan<double> temperatureC, CardinalTemperatures cardinals, Span<double> destination)
    {
        SpanLengths.RequireEqual(temperatureC.Length, destination.Length, nameof(destination));
        for (int i = 0; i < temperatureC.Length; i++)
        {
            destination[i] = Rate(temperatureC[i], cardinals);
        }
    }
}

namespace GraftWatch.Microclimate.Response;

/// <summary>The beta-shaped temperature response of Wang and Engel.</summary>
public static class WangEngel
{
    /// <summary>Rate at a temperature as a share of the fastest rate.</summary>
    /// <param name="temperatureC">Tissue temperature. [°C], any.</param>
    /// <param name="cardinals">Minimum, optimum and maximum. [°C]</param>
    /// <returns>Relative rate. [-], 0 to 1; 0 at and outside minimum and maximum, 1 at the optimum; NaN where the temperature is NaN or <paramref name="cardinals"/> is the default value.</returns>
    /// <remarks>
    /// <c>f = [2 (T-Tn)^a (To-Tn)^a - (T-Tn)^2a] / (To-Tn)^2a</c>, <c>a = ln 2 / ln((Tx-Tn)/(To-Tn))</c>, [WangEngel1998] eq. 7.
    /// With the optimum half-way it is the parabola <c>1 - ((T-To)/(To-Tn))²</c>, the same as <see cref="YanHunt"/>.
    /// </remarks>
    public static double Rate(double temperatureC, CardinalTemperatures cardinals) =>
        Rate(temperatureC, cardinals, Exponent(cardinals));

    /// <summary>Rates of many hours; the exponent is worked out once.</summary>
    /// <param name="temperatureC">Tissue temperatures. [°C]; NaN gives NaN.</param>
    /// <param name="cardinals">Minimum, optimum and maximum. [°C]</param>
    /// <param name="destination">Receives the relative rates [-]; same length, may be the same memory.</param>
    /// <remarks>[WangEngel1998] eq. 7, see <see cref="Rate(double, CardinalTemperatures)"/>.</remarks>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public static void Compute(ReadOnlySpan<double> temperatureC, CardinalTemperatures cardinals, Span<double> destination)
    {
        SpanLengths.RequireEqual(temperatureC.Length, destination.Length, nameof(destination));
        double exponent = Exponent(cardinals);
        for (int i = 0; i < temperatureC.Length; i++)
        {
            destination[i] = Rate(temperatureC[i], cardinals, exponent);
        }
    }

    private static double Exponent(CardinalTemperatures c) =>
        Math.Log(2) / Math.Log((c.MaxC - c.MinC) / (c.OptimumC - c.MinC));

    private static double Rate(double temperatureC, CardinalTemperatures c, double exponent)
    {
        if (double.IsNaN(temperatureC) || double.IsNaN(exponent))
        {
            return double.NaN;
        }

        if (temperatureC <= c.MinC || temperatureC >= c.MaxC)
        {
            return 0;
        }

        double x = Math.Pow((temperatureC - c.MinC) / (c.OptimumC - c.MinC), exponent);
        return x * (2 - x);
    }
}

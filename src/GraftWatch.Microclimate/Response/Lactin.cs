namespace GraftWatch.Microclimate.Response;

/// <summary>The second rate equation of Lactin and others, with a lower threshold of its own.</summary>
/// <param name="SlopePerK">Rise of the rate with temperature, <c>ρ</c>. [1/K], above 0.</param>
/// <param name="UpperC">Temperature where the rate collapses, <c>Tm</c>. [°C]</param>
/// <param name="CollapseK">Width of the collapse below <paramref name="UpperC"/>, <c>Δ</c>. [K], above 0.</param>
/// <param name="Intercept">Shift of the curve, <c>λ</c>; negative gives a lower threshold. [-]</param>
public readonly record struct Lactin(double SlopePerK, double UpperC, double CollapseK, double Intercept)
{
    /// <summary>Rate at a temperature.</summary>
    /// <param name="temperatureC">Tissue temperature. [°C]; fitted curves hold between the thresholds.</param>
    /// <returns>Rate in the unit it was fitted in, often 1/day. Negative outside the thresholds, where nothing develops; NaN where the temperature is NaN.</returns>
    /// <remarks><c>exp(ρT) - exp(ρTm - (Tm-T)/Δ) + λ</c>, [Lactin1995] eq. 4.</remarks>
    public double Rate(double temperatureC) =>
        Math.Exp(SlopePerK * temperatureC)
        - Math.Exp((SlopePerK * UpperC) - ((UpperC - temperatureC) / CollapseK))
        + Intercept;
}

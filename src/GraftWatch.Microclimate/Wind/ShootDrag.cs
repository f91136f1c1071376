namespace GraftWatch.Microclimate.Wind;

/// <summary>The wind's pull on a leafy shoot that folds its leaves as the wind grows.</summary>
public static class ShootDrag
{
    /// <summary>Density of air at 15 °C and sea level. [kg/m³]</summary>
    public const double StandardAirDensityKgPerM3 = 1.225;

    /// <summary>Drag coefficient of a leafy shoot before it folds, on its still-air frontal area. [-], engineering default.</summary>
    public const double LeafyDragCoefficient = 0.7;

    /// <summary>Wind at which leaves begin to fold. [m/s], engineering default.</summary>
    public const double FoldingWindMPerS = 4.0;

    /// <summary>Vogel exponent of a leafy shoot: drag grows with wind to the power 2 + exponent. [-], -2 (no growth) to 0 (rigid).</summary>
    public const double LeafyVogelExponent = -0.8;

    /// <summary>Still-air frontal width of a shoot in full leaf. [m² per m of shoot], engineering default.</summary>
    public const double LeafyWidthM = 0.10;

    /// <summary>Frontal area of a shoot in still air.</summary>
    /// <param name="lengthM">Length of the shoot. [m], 0 or more.</param>
    /// <param name="stemDiameterM">Mean diameter of its stem. [m], 0 or more.</param>
    /// <param name="leafFrac">Share of full leaf. [-], 0 (bare) to 1.</param>
    /// <param name="leafyWidthM">Frontal width in full leaf. [m], default <see cref="LeafyWidthM"/>.</param>
    /// <returns>Area. [m²]; NaN where an input is NaN.</returns>
    /// <remarks>Bare stem plus leaves: <c>A = L (d + leaf · w)</c>. An engineering default: a half-metre shoot in full leaf shows about 0.05 m²; common practice, no source.</remarks>
    public static double FrontalAreaM2(double lengthM, double stemDiameterM, double leafFrac, double leafyWidthM = LeafyWidthM) =>
        lengthM * (stemDiameterM + (leafFrac * leafyWidthM));

    /// <summary>Drag coefficient on the still-air frontal area.</summary>
    /// <param name="windMPerS">Wind at the shoot. [m/s], 0 or more.</param>
    /// <param name="vogelExponent">Vogel exponent. [-], -2 to 0, default <see cref="LeafyVogelExponent"/>.</param>
    /// <returns>Coefficient. [-]; NaN where an input is NaN or the wind is negative.</returns>
    /// <remarks>
    /// 0.7 up to 4 m/s, then <c>0.7 (U/4)^V</c>: reconfiguration after [Vogel1984]. Falls within the 0.15 to 0.22 measured on
    /// broad-leaved crowns at 20 m/s [Vollsinger2005].
    /// </remarks>
    public static double Coefficient(double windMPerS, double vogelExponent = LeafyVogelExponent)
    {
        if (!(windMPerS >= 0))
        {
            return double.NaN;
        }

        return windMPerS <= FoldingWindMPerS && !double.IsNaN(vogelExponent)
            ? LeafyDragCoefficient
            : LeafyDragCoefficient * Math.Pow(windMPerS / FoldingWindMPerS, vogelExponent);
    }

    /// <summary>Drag force.</summary>
    /// <param name="windMPerS">Wind at the shoot. [m/s], 0 or more.</param>
    /// <param name="areaM2">Still-air frontal area. [m²], 0 or more.</param>
    /// <param name="airDensityKgPerM3">Density of the air. [kg/m³], 0.7 to 1.5.</param>
    /// <param name="vogelExponent">Vogel exponent. [-], -2 to 0.</param>
    /// <returns>Force. [N]; NaN where an input is NaN or the wind is negative.</returns>
    /// <remarks><c>F = ½ ρ Cd(U) A U²</c>, [Vogel1984].</remarks>
    public static double ForceN(
        double windMPerS,
        double areaM2,
        double airDensityKgPerM3 = StandardAirDensityKgPerM3,
        double vogelExponent = LeafyVogelExponent) =>
        0.5 * airDensityKgPerM3 * Coefficient(windMPerS, vogelExponent) * areaM2 * windMPerS * windMPerS;
}

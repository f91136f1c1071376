namespace GraftWatch.Microclimate.Wind;

/// <summary>How much stronger the gusts of an hour are than its mean wind, for sources that give no gust.</summary>
public static class GustFactor
{
    /// <summary>Peak factor: how many standard deviations of the wind a short gust lies above the mean. [-]</summary>
    public const double PeakFactor = 3.0;

    /// <summary>Gust over mean wind at 10 m by the roughness of the surroundings.</summary>
    /// <param name="roughnessM">Roughness length. [m], 0.0002 (open water) to 2 (town, forest).</param>
    /// <returns>Gust factor. [-], 1.28 to 2.86; NaN outside the valid range or where the input is NaN.</returns>
    /// <remarks>
    /// <c>G = 1 + 3 Iu</c> with the turbulence intensity of a neutral logarithmic profile, <c>Iu = 1 / ln(10/z0)</c>
    /// ([WieringaRijkoort1983]; the same form as EN 1991-1-4 eq. 4.7). A published inland value for a three-second gust is 1.66 on
    /// a ten-minute mean [Harper2010].
    /// </remarks>
    public static double FromRoughness(double roughnessM) =>
        roughnessM is >= 0.0002 and <= 2 ? 1 + (PeakFactor / Math.Log(10 / roughnessM)) : double.NaN;
}

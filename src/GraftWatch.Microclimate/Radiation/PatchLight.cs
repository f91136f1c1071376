namespace GraftWatch.Microclimate.Radiation;

/// <summary>Light on a plane patch of any slope.</summary>
public static class PatchLight
{
    /// <summary>Cosine of zenith below which the circumsolar part no longer grows: the sun 1° above the horizon. [-] [Hay1980]</summary>
    public const double LowestCosZenith = 0.01745;

    /// <summary>Beam index of [Hay1980]: the share of the sky's light that comes from around the sun. [-]</summary>
    /// <param name="beamNormalWPerM2">Beam normal to the sun. [W/m²]</param>
    /// <param name="extraterrestrialNormalWPerM2">Extraterrestrial irradiance normal to the sun. [W/m²]</param>
    /// <returns>Share, 0 to 1; NaN in gives NaN out.</returns>
    public static double BeamIndex(double beamNormalWPerM2, double extraterrestrialNormalWPerM2) =>
        beamNormalWPerM2 / extraterrestrialNormalWPerM2;

    /// <summary>Sky diffuse on a patch, part of it around the sun. [Hay1980]</summary>
    /// <param name="diffuseWPerM2">Diffuse on the horizontal. [W/m²]</param>
    /// <param name="beamIndex">Beam index. [-], 0 to 1.</param>
    /// <param name="cosIncidence">Cosine of the angle between sun and patch normal. [-]</param>
    /// <param name="cosZenith">Cosine of the sun's zenith. [-]</param>
    /// <param name="normalUp">Upward component of the patch's unit normal. [-], -1 to 1.</param>
    /// <returns>Irradiance. [W/m²]; NaN in gives NaN out.</returns>
    public static double SkyWPerM2(double diffuseWPerM2, double beamIndex, double cosIncidence, double cosZenith, double normalUp) =>
        diffuseWPerM2
        * ((beamIndex * Math.Max(cosIncidence, 0) / Math.Max(cosZenith, LowestCosZenith)) + ((1 - beamIndex) * 0.5 * (1 + normalUp)));

    /// <summary>Light reflected by level ground on a patch.</summary>
    /// <param name="globalWPerM2">Global irradiance on the ground. [W/m²]</param>
    /// <param name="albedoFrac">Albedo of the ground. [-], 0 to 1.</param>
    /// <param name="normalUp">Upward component of the patch's unit normal. [-], -1 to 1.</param>
    /// <returns>Irradiance. [W/m²]; NaN in gives NaN out.</returns>
    public static double GroundWPerM2(double globalWPerM2, double albedoFrac, double normalUp) =>
        globalWPerM2 * albedoFrac * 0.5 * (1 - normalUp);
}

using GraftWatch.Microclimate.Solar;

namespace GraftWatch.Microclimate.Radiation;

/// <summary>Global irradiance taken apart into the beam normal to the sun and the diffuse light of the sky.</summary>
/// <param name="BeamNormalWPerM2">Beam normal to the sun. [W/m²]</param>
/// <param name="DiffuseWPerM2">Diffuse on the horizontal. [W/m²]</param>
public readonly record struct BeamDiffuse(double BeamNormalWPerM2, double DiffuseWPerM2)
{
    /// <summary>Diffuse share of hourly global irradiance by the clearness index. [Erbs1982] eq. 1.</summary>
    /// <param name="clearnessFrac">Global over extraterrestrial irradiance on the horizontal. [-], 0 to 1.</param>
    /// <returns>Share. [-]; NaN in gives NaN out.</returns>
    public static double DiffuseShareFrac(double clearnessFrac)
    {
        double k = clearnessFrac;
        if (k <= 0.22)
        {
            return 1 - (0.09 * k);
        }

        return k > 0.80 ? 0.165 : 0.9511 + (k * (-0.1604 + (k * (4.388 + (k * (-16.638 + (12.336 * k)))))));
    }

    /// <summary>Splits an hourly mean. [Erbs1982]</summary>
    /// <remarks>Beyond zenith 87° everything counts as diffuse. The beam never exceeds the extraterrestrial irradiance.</remarks>
    /// <param name="globalWPerM2">Global irradiance on the horizontal. [W/m²], not negative.</param>
    /// <param name="zenithDeg">Zenith of the sun at the middle of the hour. [°], 0 to 180.</param>
    /// <param name="extraterrestrialNormalWPerM2">Extraterrestrial irradiance normal to the sun. [W/m²]</param>
    /// <returns>The parts; NaN in gives NaN out.</returns>
    public static BeamDiffuse Split(double globalWPerM2, double zenithDeg, double extraterrestrialNormalWPerM2)
    {
        if (zenithDeg > Sunlight.BeamCutZenithDeg)
        {
            return new BeamDiffuse(0 * globalWPerM2, globalWPerM2);
        }

        double cosZenith = Math.Cos(zenithDeg * (Math.PI / 180));
        double clearness = Math.Min(1, globalWPerM2 / (extraterrestrialNormalWPerM2 * Math.Max(cosZenith, 0.065)));
        double diffuse = globalWPerM2 * DiffuseShareFrac(clearness);
        return new BeamDiffuse(Math.Min((globalWPerM2 - diffuse) / cosZenith, extraterrestrialNormalWPerM2), diffuse);
    }
}

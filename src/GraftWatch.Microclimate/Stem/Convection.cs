using GraftWatch.Microclimate.Longwave;

namespace GraftWatch.Microclimate.Stem;

/// <summary>Heat carried by moving air from a cylinder.</summary>
public static class Convection
{
    /// <summary>Outdoor turbulence carries more than a wind tunnel, 1.0 to 1.4 times. [Mitchell1976] [-]</summary>
    public const double OutdoorEnhancement = 1.2;

    /// <summary>Air outdoors never stands quite still. [m/s] Engineering choice, no source.</summary>
    public const double CalmMPerS = 0.2;

    private const double GravityMPerS2 = 9.80665;

    /// <summary>Forced convection across a cylinder. [Churchill1977]</summary>
    /// <param name="reynolds">Reynolds number. [-], Re·Pr above 0.2.</param>
    /// <param name="prandtl">Prandtl number. [-]</param>
    /// <returns>Nusselt number. [-]; NaN in gives NaN out.</returns>
    public static double ForcedNusselt(double reynolds, double prandtl) =>
        0.3
        + (0.62 * Math.Sqrt(reynolds) * Math.Cbrt(prandtl) / Math.Pow(1 + Math.Pow(0.4 / prandtl, 2.0 / 3), 0.25)
            * Math.Pow(1 + Math.Pow(reynolds / 282000, 0.625), 0.8));

    /// <summary>Forced convection across a cylinder by the older power laws, for comparison. [Incropera2007] eq. 7.52 and table 7.2.</summary>
    /// <param name="reynolds">Reynolds number. [-], 0.4 to 400000.</param>
    /// <param name="prandtl">Prandtl number. [-]</param>
    /// <returns>Nusselt number. [-]; NaN in gives NaN out.</returns>
    public static double HilpertNusselt(double reynolds, double prandtl)
    {
        (double c, double m) = reynolds switch
        {
            < 4 => (0.989, 0.330),
            < 40 => (0.911, 0.385),
            < 4000 => (0.683, 0.466),
            < 40000 => (0.193, 0.618),
            _ => (0.027, 0.805),
        };
        return c * Math.Pow(reynolds, m) * Math.Cbrt(prandtl);
    }

    /// <summary>Free convection from a level cylinder; a thin upright stem differs by less than a fifth. [Churchill1975]</summary>
    /// <param name="rayleigh">Rayleigh number. [-], 0 to 1e12.</param>
    /// <param name="prandtl">Prandtl number. [-]</param>
    /// <returns>Nusselt number. [-]; NaN in gives NaN out.</returns>
    public static double FreeNusselt(double rayleigh, double prandtl)
    {
        double root = 0.60 + (0.387 * Math.Pow(rayleigh, 1.0 / 6) / Math.Pow(1 + Math.Pow(0.559 / prandtl, 9.0 / 16), 8.0 / 27));
        return root * root;
    }

    /// <summary>Rayleigh number of a cylinder.</summary>
    /// <param name="film">Air at film temperature.</param>
    /// <param name="filmK">Film temperature. [K]</param>
    /// <param name="differenceK">Surface minus air temperature. [K], either sign.</param>
    /// <param name="diameterM">Diameter. [m]</param>
    /// <returns>Rayleigh number. [-]; NaN in gives NaN out.</returns>
    public static double Rayleigh(AirFilm film, double filmK, double differenceK, double diameterM) =>
        GravityMPerS2 / filmK * Math.Abs(differenceK) * diameterM * diameterM * diameterM * film.Prandtl
        / (film.ViscosityM2PerS * film.ViscosityM2PerS);

    /// <summary>Heat transfer coefficient of forced (enhanced) and free convection together, cubes added. [Incropera2007] eq. 9.64.</summary>
    /// <remarks>The plain form; the stem balance uses <see cref="ConvectionKernel"/>, which a test holds to it.</remarks>
    /// <param name="windMPerS">Wind at the cylinder. [m/s]; below 0.2 counts as 0.2.</param>
    /// <param name="diameterM">Outer diameter. [m], 0.001 to 1.</param>
    /// <param name="surfaceC">Mean surface temperature. [°C]</param>
    /// <param name="airC">Air temperature. [°C]</param>
    /// <param name="enhancement">Outdoor enhancement of forced convection. [-], 1.0 to 1.4.</param>
    /// <returns>Coefficient. [W/m²K]; NaN in gives NaN out.</returns>
    public static double CoefficientWPerM2K(
        double windMPerS, double diameterM, double surfaceC, double airC, double enhancement = OutdoorEnhancement)
    {
        double filmK = (0.5 * (surfaceC + airC)) + ThermalSky.ZeroCelsiusK;
        AirFilm film = AirFilm.At(filmK);
        double reynolds = Math.Max(CalmMPerS, windMPerS) * diameterM / film.ViscosityM2PerS;
        double forced = enhancement * ForcedNusselt(reynolds, film.Prandtl);
        double free = FreeNusselt(Rayleigh(film, filmK, surfaceC - airC, diameterM), film.Prandtl);
        return film.ConductivityWPerMK / diameterM * Math.Cbrt((forced * forced * forced) + (free * free * free));
    }
}

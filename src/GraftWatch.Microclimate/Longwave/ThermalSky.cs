namespace GraftWatch.Microclimate.Longwave;

/// <summary>Thermal infrared from the sky and the ground.</summary>
public static class ThermalSky
{
    /// <summary>Stefan-Boltzmann constant. [W/m²K⁴] CODATA 2018.</summary>
    public const double StefanBoltzmann = 5.670374419e-8;

    /// <summary>0 °C in kelvin. [K]</summary>
    public const double ZeroCelsiusK = 273.15;

    /// <summary>Emissivity of ordinary ground. [-] [Oke1987] table 1.1.</summary>
    public const double GroundEmissivityFrac = 0.97;

    private const double LowSkyFrac = 0.5 * 0.6931471805599453 * 0.09;

    /// <summary>Radiation of a black body. [W/m²]; NaN in gives NaN out.</summary>
    /// <param name="temperatureC">Temperature. [°C], above -273.15.</param>
    public static double BlackBodyWPerM2(double temperatureC)
    {
        double k = temperatureC + ZeroCelsiusK;
        double square = k * k;
        return StefanBoltzmann * square * square;
    }

    /// <summary>Emissivity of a clear sky. [Prata1996]</summary>
    /// <remarks>Preferred: 1.5 W/m² too low over 24 measured hours in cold, dry, high air, where [Brutsaert1975] reads 29 too low.</remarks>
    /// <param name="airC">Air temperature at 2 m. [°C], valid -40 to 45.</param>
    /// <param name="vapourPressureKPa">Vapour pressure at 2 m. [kPa], not negative.</param>
    /// <returns>Emissivity. [-], 0.6 to 1; NaN in gives NaN out.</returns>
    public static double ClearEmissivityFrac(double airC, double vapourPressureKPa)
    {
        double w = 465 * vapourPressureKPa / (airC + ZeroCelsiusK);
        return 1 - ((1 + w) * Math.Exp(-Math.Sqrt(1.2 + (3 * w))));
    }

    /// <summary>Emissivity of a clear sky by the older formula, kept for comparison. [Brutsaert1975] eq. 11.</summary>
    /// <param name="airC">Air temperature at 2 m. [°C], valid 0 to 40.</param>
    /// <param name="vapourPressureKPa">Vapour pressure at 2 m. [kPa], not negative.</param>
    /// <returns>Emissivity. [-]; NaN in gives NaN out.</returns>
    public static double BrutsaertEmissivityFrac(double airC, double vapourPressureKPa) =>
        1.24 * Math.Pow(10 * vapourPressureKPa / (airC + ZeroCelsiusK), 1.0 / 7);

    /// <summary>Emissivity of a sky with clouds. [Unsworth1975] eq. 15.</summary>
    /// <param name="clearFrac">Emissivity of the clear sky. [-]</param>
    /// <param name="cloudFrac">Cloud cover. [-], 0 to 1.</param>
    /// <returns>Emissivity. [-]; NaN in gives NaN out.</returns>
    public static double CloudedEmissivityFrac(double clearFrac, double cloudFrac) =>
        ((1 - (0.84 * cloudFrac)) * clearFrac) + (0.84 * cloudFrac);

    /// <summary>What a vertical face receives beyond half the sky, because the low sky is warmer: from the angular law of [Unsworth1975].</summary>
    /// <remarks>Their emissivity a + b·ln(sec θ), b = 0.09, integrated over a vertical face is ½ of the horizontal flux plus ½·ln 2·b.</remarks>
    /// <param name="blackBodyAirWPerM2">Black-body radiation at air temperature. [W/m²]</param>
    /// <param name="cloudFrac">Cloud cover. [-], 0 to 1.</param>
    /// <returns>Irradiance to add. [W/m²]; NaN in gives NaN out.</returns>
    public static double LowSkyWPerM2(double blackBodyAirWPerM2, double cloudFrac) => LowSkyFrac * (1 - cloudFrac) * blackBodyAirWPerM2;

    /// <summary>Temperature of the ground when no source gives it.</summary>
    /// <remarks>
    /// By day 0.015 K per W/m² of global irradiance above the air (bare dry soil measured 0.016 to 0.018 in the winter file of
    /// [Surfrad2016]); by night up to 2.5 K below it, less with cloud and wind (engineering choice, no source).
    /// </remarks>
    /// <param name="airC">Air temperature at 2 m. [°C]</param>
    /// <param name="globalWPerM2">Global irradiance. [W/m²]; below 5 counts as night.</param>
    /// <param name="cloudFrac">Cloud cover. [-], 0 to 1.</param>
    /// <param name="windMPerS">Wind at 10 m. [m/s]</param>
    /// <returns>Temperature. [°C]; NaN in gives NaN out.</returns>
    public static double GroundC(double airC, double globalWPerM2, double cloudFrac, double windMPerS) =>
        globalWPerM2 < 5
            ? airC + (0.015 * globalWPerM2) - (2.5 * (1 - cloudFrac) / (1 + windMPerS))
            : airC + (0.015 * globalWPerM2);
}

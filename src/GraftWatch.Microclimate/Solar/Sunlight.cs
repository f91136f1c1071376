namespace GraftWatch.Microclimate.Solar;

/// <summary>Sunlight above and through a clean atmosphere.</summary>
public static class Sunlight
{
    /// <summary>Solar constant used with [Spencer1971]. [W/m²]</summary>
    public const double SolarConstantWPerM2 = 1366.1;

    /// <summary>Zenith beyond which the beam is taken as nothing: an hour's mean divided by so small a cosine means nothing. [°]</summary>
    public const double BeamCutZenithDeg = 87;

    private const double RadPerDeg = Math.PI / 180;

    /// <summary>Extraterrestrial irradiance normal to the sun. [Spencer1971]</summary>
    /// <param name="dayOfYear">Day of the year. [d], 1 to 366.</param>
    /// <returns>Irradiance. [W/m²]; NaN in gives NaN out.</returns>
    public static double ExtraterrestrialNormalWPerM2(double dayOfYear)
    {
        double b = 2 * Math.PI * (dayOfYear - 1) / 365;
        return SolarConstantWPerM2
            * (1.00011 + (0.034221 * Math.Cos(b)) + (0.00128 * Math.Sin(b)) + (0.000719 * Math.Cos(2 * b)) + (0.000077 * Math.Sin(2 * b)));
    }

    /// <summary>Relative optical air mass. [Kasten1989]</summary>
    /// <param name="apparentZenithDeg">Zenith angle including refraction. [°], 0 to 90; beyond 90 gives NaN.</param>
    /// <returns>Air mass at sea level. [-]</returns>
    public static double AirMass(double apparentZenithDeg) =>
        apparentZenithDeg <= 90
            ? 1 / (Math.Cos(apparentZenithDeg * RadPerDeg) + (0.50572 * Math.Pow(96.07995 - apparentZenithDeg, -1.6364)))
            : double.NaN;

    /// <summary>Global irradiance under a clear sky. [Haurwitz1945]</summary>
    /// <remarks>Sea level; at 2300 m a clear noon measures about a fifth more.</remarks>
    /// <param name="cosZenith">Cosine of the sun's zenith angle. [-]; 0 or less gives 0.</param>
    /// <returns>Irradiance. [W/m²]; NaN in gives NaN out.</returns>
    public static double ClearGlobalWPerM2(double cosZenith) =>
        cosZenith <= 0 ? 0 : 1098 * cosZenith * Math.Exp(-0.059 / cosZenith);

    /// <summary>Share of the clear-sky global irradiance that a cloud cover lets through. [Kasten1980]</summary>
    /// <param name="cloudFrac">Cloud cover. [-], 0 to 1.</param>
    /// <returns>Share. [-], 0.25 to 1; NaN in gives NaN out.</returns>
    public static double CloudPassFrac(double cloudFrac) => 1 - (0.75 * Math.Pow(cloudFrac, 3.4));
}

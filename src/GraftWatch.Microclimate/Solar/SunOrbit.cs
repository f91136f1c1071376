namespace GraftWatch.Microclimate.Solar;

/// <summary>The part of the sun's position that does not depend on the place.</summary>
/// <param name="DeclinationRad">Declination. [rad]</param>
/// <param name="EquationOfTimeMin">Apparent minus mean solar time. [min]</param>
/// <param name="DistanceAu">Distance from the earth. [au]</param>
internal readonly record struct SunOrbit(double DeclinationRad, double EquationOfTimeMin, double DistanceAu)
{
    private const double RadPerDeg = Math.PI / 180;

    /// <summary>Terrestrial minus universal time about 2025; 30 s more or less moves the sun by 0.0003°. [d]</summary>
    private const double DeltaT = 69.0 / 86400;

    /// <summary>Evaluates the series of [Meeus1998] ch. 25 with the strongest pulls of the planets and the moon of [Meeus1988] ch. 18.</summary>
    /// <remarks>The equation of time is the difference of mean longitude and right ascension, [Meeus1998] eq. 28.1, not its series: that alone halves the error.</remarks>
    /// <param name="julianDay">Julian day, UTC. [d]</param>
    internal static SunOrbit At(double julianDay)
    {
        double t = (julianDay + DeltaT - 2451545) / 36525;
        double meanLongitudeDeg = 280.46646 + (t * (36000.76983 + (0.0003032 * t)));
        double meanAnomaly = (357.52911 + (t * (35999.05029 - (0.0001537 * t)))) * RadPerDeg;
        double eccentricity = 0.016708634 - (t * (0.000042037 + (0.0000001267 * t)));
        double centreDeg =
            (Math.Sin(meanAnomaly) * (1.914602 - (t * (0.004817 + (0.000014 * t)))))
            + (Math.Sin(2 * meanAnomaly) * (0.019993 - (0.000101 * t)))
            + (Math.Sin(3 * meanAnomaly) * 0.000289);
        double node = (125.04 - (1934.136 * t)) * RadPerDeg;
        double nutationDeg = -0.00478 * Math.Sin(node);
        const double aberrationDeg = -0.00569;
        (double sinLongitude, double cosLongitude) = Math.SinCos(
            (meanLongitudeDeg + centreDeg + PullsDeg(t + 1) + aberrationDeg + nutationDeg) * RadPerDeg);
        (double sinTilt, double cosTilt) = Math.SinCos(ObliquityDeg(t, node) * RadPerDeg);

        double ascensionDeg = Math.Atan2(cosTilt * sinLongitude, cosLongitude) / RadPerDeg;
        double equationDeg = Math.IEEERemainder(meanLongitudeDeg - 0.0057183 - ascensionDeg + (nutationDeg * cosTilt), 360);
        double trueAnomaly = meanAnomaly + (centreDeg * RadPerDeg);
        double distance = 1.000001018 * (1 - (eccentricity * eccentricity)) / (1 + (eccentricity * Math.Cos(trueAnomaly)));
        return new SunOrbit(Math.Asin(sinTilt * sinLongitude), 4 * equationDeg, distance);
    }

    private static double ObliquityDeg(double t, double node) =>
        23 + ((26 + ((21.448 - (t * (46.815 + (t * (0.00059 - (0.001813 * t)))))) / 60)) / 60) + (0.00256 * Math.Cos(node));

    /// <summary>Venus twice, Jupiter, the moon and a long inequality, by centuries since 1900. [°]</summary>
    private static double PullsDeg(double t) =>
        (0.00134 * Math.Cos((153.23 + (22518.7541 * t)) * RadPerDeg))
        + (0.00154 * Math.Cos((216.57 + (45037.5082 * t)) * RadPerDeg))
        + (0.00200 * Math.Cos((312.69 + (32964.3577 * t)) * RadPerDeg))
        + (0.00179 * Math.Sin((350.74 + (t * (445267.1142 - (0.00144 * t)))) * RadPerDeg))
        + (0.00178 * Math.Sin((231.19 + (20.20 * t)) * RadPerDeg));
}

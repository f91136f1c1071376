namespace GraftWatch.Microclimate.Soil;

/// <summary>Sunlight on the horizontal above the atmosphere, and the day's length, as the evapotranspiration standards compute them.</summary>
/// <remarks>
/// Simpler sun than the one the union uses: the standards fix these equations, and their worked examples check against them.
/// NaN in gives NaN out.
/// </remarks>
public static class ExtraterrestrialRadiation
{
    /// <summary>Solar constant of the standards. [MJ/(m² min)], [Allen1998] eq. 21.</summary>
    public const double SolarConstantMjPerM2PerMin = 0.0820;

    /// <summary>Inverse relative distance from earth to sun.</summary>
    /// <param name="dayOfYear">Day of the year. [-], 1 to 366.</param>
    /// <returns>Factor. [-], 0.967 to 1.033.</returns>
    /// <remarks>[Allen1998] eq. 23.</remarks>
    public static double DistanceFactor(int dayOfYear) => 1 + (0.033 * Math.Cos(2 * Math.PI * dayOfYear / 365));

    /// <summary>Solar declination.</summary>
    /// <param name="dayOfYear">Day of the year. [-], 1 to 366.</param>
    /// <returns>Declination. [rad]</returns>
    /// <remarks>[Allen1998] eq. 24.</remarks>
    public static double DeclinationRad(int dayOfYear) => 0.409 * Math.Sin((2 * Math.PI * dayOfYear / 365) - 1.39);

    /// <summary>Hour angle of sunset.</summary>
    /// <param name="latitudeDeg">Latitude, north positive. [°], -90 to 90.</param>
    /// <param name="dayOfYear">Day of the year. [-], 1 to 366.</param>
    /// <returns>Angle. [rad], 0 in the polar night to π on the polar day.</returns>
    /// <remarks>[Allen1998] eq. 25.</remarks>
    public static double SunsetAngleRad(double latitudeDeg, int dayOfYear)
    {
        double cosine = -Math.Tan(double.DegreesToRadians(latitudeDeg)) * Math.Tan(DeclinationRad(dayOfYear));
        return Math.Acos(Math.Clamp(cosine, -1, 1));
    }

    /// <summary>Longest possible sunshine of a day.</summary>
    /// <param name="latitudeDeg">Latitude, north positive. [°], -90 to 90.</param>
    /// <param name="dayOfYear">Day of the year. [-], 1 to 366.</param>
    /// <returns>Duration. [h], 0 to 24.</returns>
    /// <remarks>[Allen1998] eq. 34.</remarks>
    public static double DaylightHours(double latitudeDeg, int dayOfYear) => 24 / Math.PI * SunsetAngleRad(latitudeDeg, dayOfYear);

    /// <summary>Extraterrestrial radiation of a day.</summary>
    /// <param name="latitudeDeg">Latitude, north positive. [°], -90 to 90.</param>
    /// <param name="dayOfYear">Day of the year. [-], 1 to 366.</param>
    /// <returns>Radiation. [MJ/(m² d)], 0 or more.</returns>
    /// <remarks>[Allen1998] eq. 21.</remarks>
    public static double DailyMjPerM2(double latitudeDeg, int dayOfYear)
    {
        double sunset = SunsetAngleRad(latitudeDeg, dayOfYear);
        return Integral(latitudeDeg, dayOfYear, -sunset, sunset);
    }

    /// <summary>Solar time angle at the middle of an hour.</summary>
    /// <param name="midHourUtcH">Time at the middle of the hour. [h UTC], 0 to 24.</param>
    /// <param name="longitudeDeg">Longitude, east positive. [°], -180 to 180.</param>
    /// <param name="dayOfYear">Day of the year. [-], 1 to 366.</param>
    /// <returns>Angle from solar noon. [rad], -π to π.</returns>
    /// <remarks>[Allen1998] eq. 31 to 33, with the time in UTC so that the zone's own meridian falls away.</remarks>
    public static double SolarTimeAngleRad(double midHourUtcH, double longitudeDeg, int dayOfYear)
    {
        double b = 2 * Math.PI * (dayOfYear - 81) / 364;
        double seasonalH = (0.1645 * Math.Sin(2 * b)) - (0.1255 * Math.Cos(b)) - (0.025 * Math.Sin(b));
        double angle = Math.PI / 12 * (midHourUtcH + (longitudeDeg / 15) + seasonalH - 12);
        return Math.IEEERemainder(angle, 2 * Math.PI);
    }

    /// <summary>Extraterrestrial radiation of one hour.</summary>
    /// <param name="latitudeDeg">Latitude, north positive. [°], -90 to 90.</param>
    /// <param name="dayOfYear">Day of the year. [-], 1 to 366.</param>
    /// <param name="midAngleRad">Solar time angle at the middle of the hour, see <see cref="SolarTimeAngleRad"/>. [rad], -π to π.</param>
    /// <returns>Radiation. [MJ/(m² h)], 0 or more.</returns>
    /// <remarks>[Allen1998] eq. 28 to 30; hours that straddle sunrise or sunset count only their sunlit part, [ASCE2005] eq. 56.</remarks>
    public static double HourlyMjPerM2(double latitudeDeg, int dayOfYear, double midAngleRad)
    {
        double sunset = SunsetAngleRad(latitudeDeg, dayOfYear);
        double sum = 0;

        // The hour of midnight reaches over the end of the day: in polar summer both of its parts are sunlit.
        for (int turn = -1; turn <= 1; turn++)
        {
            double middle = midAngleRad + (turn * 2 * Math.PI);
            double from = Math.Clamp(middle - (Math.PI / 24), -sunset, sunset);
            double to = Math.Clamp(middle + (Math.PI / 24), -sunset, sunset);
            sum += Integral(latitudeDeg, dayOfYear, from, to);
        }

        return Math.Max(sum, 0);
    }

    /// <summary>Sine of the sun's altitude.</summary>
    /// <param name="latitudeDeg">Latitude, north positive. [°], -90 to 90.</param>
    /// <param name="dayOfYear">Day of the year. [-], 1 to 366.</param>
    /// <param name="angleRad">Solar time angle. [rad], -π to π.</param>
    /// <returns>Sine of the altitude. [-], -1 to 1.</returns>
    /// <remarks>[ASCE2005] eq. 62.</remarks>
    public static double SineOfAltitude(double latitudeDeg, int dayOfYear, double angleRad)
    {
        (double sinLat, double cosLat) = Math.SinCos(double.DegreesToRadians(latitudeDeg));
        (double sinDec, double cosDec) = Math.SinCos(DeclinationRad(dayOfYear));
        return (sinLat * sinDec) + (cosLat * cosDec * Math.Cos(angleRad));
    }

    private static double Integral(double latitudeDeg, int dayOfYear, double fromRad, double toRad)
    {
        (double sinLat, double cosLat) = Math.SinCos(double.DegreesToRadians(latitudeDeg));
        (double sinDec, double cosDec) = Math.SinCos(DeclinationRad(dayOfYear));
        return 12 * 60 / Math.PI * SolarConstantMjPerM2PerMin * DistanceFactor(dayOfYear)
            * (((toRad - fromRad) * sinLat * sinDec) + (cosLat * cosDec * (Math.Sin(toRad) - Math.Sin(fromRad))));
    }
}

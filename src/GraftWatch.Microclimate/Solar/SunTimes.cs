using NodaTime;

namespace GraftWatch.Microclimate.Solar;

/// <summary>Sunrise, noon and sunset of one day at one place.</summary>
/// <param name="Sunrise">Upper edge on a level horizon, or null when the sun does not cross it.</param>
/// <param name="Transit">The sun's highest point.</param>
/// <param name="Sunset">Upper edge on a level horizon, or null when the sun does not cross it.</param>
/// <param name="AlwaysUp">Whether the sun stays up (midnight sun); with <see cref="Sunrise"/> null and this false it stays down.</param>
public readonly record struct SunTimes(Instant? Sunrise, Instant Transit, Instant? Sunset, bool AlwaysUp)
{
    private const double RadPerDeg = Math.PI / 180;

    /// <summary>Times of the solar day whose noon is nearest to local mean noon of a calendar date. [NoaaSolar2020], iterated.</summary>
    /// <remarks>Within a minute of published tables below 65° latitude. Rise and set belong to the transit between them, so one may fall on the neighbouring UTC date.</remarks>
    /// <param name="date">Local calendar date.</param>
    /// <param name="latitudeDeg">Latitude, north positive. [°], -90 to 90.</param>
    /// <param name="longitudeDeg">Longitude, east positive. [°], -180 to 180.</param>
    public static SunTimes Of(LocalDate date, double latitudeDeg, double longitudeDeg)
    {
        double noonDay = SunPosition.JulianDay(date.AtMidnight().InUtc().ToInstant()) + 0.5 - (longitudeDeg / 360);
        double transitDay = noonDay;
        for (int step = 0; step < 3; step++)
        {
            transitDay = noonDay - (SunOrbit.At(transitDay).EquationOfTimeMin / 1440);
        }

        (Instant? rise, bool alwaysUp) = Crossing(transitDay, noonDay, latitudeDeg, -1);
        (Instant? set, _) = Crossing(transitDay, noonDay, latitudeDeg, 1);
        return new SunTimes(rise, ToInstant(transitDay), set, alwaysUp);
    }

    private static (Instant? At, bool AlwaysUp) Crossing(double transitDay, double noonDay, double latitudeDeg, int side)
    {
        double day = transitDay;
        for (int step = 0; step < 5; step++)
        {
            SunOrbit orbit = SunOrbit.At(day);
            double cosine =
                (Math.Cos(SunPosition.RiseZenithDeg * RadPerDeg) - (Math.Sin(latitudeDeg * RadPerDeg) * Math.Sin(orbit.DeclinationRad)))
                / (Math.Cos(latitudeDeg * RadPerDeg) * Math.Cos(orbit.DeclinationRad));
            if (!(Math.Abs(cosine) <= 1))
            {
                return (null, cosine < -1);
            }

            day = noonDay - (orbit.EquationOfTimeMin / 1440) + (side * Math.Acos(cosine) / (2 * Math.PI));
        }

        return (ToInstant(day), false);
    }

    private static Instant ToInstant(double julianDay) =>
        Instant.FromUnixTimeMilliseconds((long)Math.Round((julianDay - 2440587.5) * NodaConstants.MillisecondsPerDay));
}

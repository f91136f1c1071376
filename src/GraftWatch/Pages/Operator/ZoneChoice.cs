using GraftWatch.Pages.People;
using NodaTime;

namespace GraftWatch.Pages.Operator;

/// <summary>A time zone for a position, without any map of zones: that of the nearest town, or a zone in use here that keeps the same hours.</summary>
internal static class ZoneChoice
{
    private static readonly Duration Ahead = Duration.FromDays(366);

    /// <summary>The first guess, to be looked at by a person.</summary>
    /// <param name="position">Where.</param>
    /// <param name="near">Zones in use here, the most likely first.</param>
    /// <param name="now">From when on clocks must agree, for a year.</param>
    internal static DateTimeZone At(Position position, IEnumerable<DateTimeZone> near, Instant now)
    {
        DateTimeZone guess = ZoneGuess.At(position);
        return near.FirstOrDefault(zone => AgreesFor(zone, guess, now)) ?? guess;
    }

    private static bool AgreesFor(DateTimeZone one, DateTimeZone other, Instant now) =>
        one.Equals(other) || Hours(one, now).SequenceEqual(Hours(other, now));

    private static IEnumerable<(Instant From, Offset Hours)> Hours(DateTimeZone zone, Instant now) =>
        zone.GetZoneIntervals(now, now + Ahead).Select(interval => (interval.HasStart && interval.Start > now ? interval.Start : now, interval.WallOffset));
}

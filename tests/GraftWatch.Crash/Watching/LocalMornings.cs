namespace GraftWatch.Crash.Watching;

/// <summary>When letters are due, worked out anew with the zones of the base class library.</summary>
internal static class LocalMornings
{
    private static readonly TimeOnly TooLateHour = new(16, 0);
    private static readonly TimeSpan UsefulAtLeast = TimeSpan.FromHours(4);

    /// <summary>The instant a local time of a local date comes: moved on with the clocks over a gap, the first of two; null on a date that the zone leaves out.</summary>
    internal static DateTime? DueAt(string zoneId, DateOnly date, TimeOnly hour)
    {
        TimeZoneInfo zone = TimeZoneInfo.FindSystemTimeZoneById(zoneId);
        DateTime local = date.ToDateTime(hour);
        TimeSpan offset = zone.IsAmbiguousTime(local)
            ? zone.GetAmbiguousTimeOffsets(local).Max()
            : zone.IsInvalidTime(local) ? OffsetBefore(zone, local) : zone.GetUtcOffset(local);
        var due = DateTime.SpecifyKind(local - offset, DateTimeKind.Utc);
        return DateOnly.FromDateTime(TimeZoneInfo.ConvertTimeFromUtc(due, zone)) == date ? due : null;
    }

    /// <summary>All mornings of a reader that fall due in a span, with the instant from which they are of no use.</summary>
    internal static IEnumerable<Morning> Between(Reader reader, DateTime from, DateTime to)
    {
        for (DateOnly date = DateOnly.FromDateTime(from).AddDays(-2); date <= DateOnly.FromDateTime(to).AddDays(2); date = date.AddDays(1))
        {
            if (DueAt(reader.ZoneId, date, reader.Hour) is { } due && due > from - UsefulAtLeast - TimeSpan.FromHours(20) && due <= to)
            {
                DateTime set = DueAt(reader.ZoneId, date, TooLateHour) ?? due;
                yield return new Morning(reader.Name, date, due, set > due + UsefulAtLeast ? set : due + UsefulAtLeast);
            }
        }
    }

    private static TimeSpan OffsetBefore(TimeZoneInfo zone, DateTime local)
    {
        // Two days back is before the gap, whatever its length; from there forward to the last offset before it.
        DateTime utc = DateTime.SpecifyKind(local - zone.BaseUtcOffset, DateTimeKind.Utc).AddHours(-30);
        TimeSpan offset = zone.GetUtcOffset(utc);
        for (int minutes = 0; minutes < 60 * 60; minutes += 15)
        {
            DateTime next = utc.AddMinutes(minutes);
            if (TimeZoneInfo.ConvertTimeFromUtc(next, zone) > local)
            {
                break;
            }

            offset = zone.GetUtcOffset(next);
        }

        return offset;
    }
}

/// <summary>A morning somebody is to have a letter for.</summary>
/// <param name="Name">Whose.</param>
/// <param name="Date">Local date.</param>
/// <param name="Due">Not before.</param>
/// <param name="TooLate">Of no use from then on; a look before must make it.</param>
internal sealed record Morning(string Name, DateOnly Date, DateTime Due, DateTime TooLate);

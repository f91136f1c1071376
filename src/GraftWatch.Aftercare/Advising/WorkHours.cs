using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Turns the start of a spell into the hour by which work must be done: in daylight, before it begins.</summary>
/// <param name="Lead">How long before.</param>
/// <param name="DayBegins">Earliest working hour of a day. [h]</param>
/// <param name="DayEnds">Latest working hour of a day. [h]</param>
internal readonly record struct WorkHours(Duration Lead, double DayBegins, double DayEnds)
{
    /// <summary>Reads the hours in force.</summary>
    internal static WorkHours Of(ThresholdSet thresholds, in Subject subject) => new(
        Duration.FromHours(thresholds.Number("advice.lead", subject)),
        thresholds.Number("advice.day_begins", subject),
        thresholds.Number("advice.day_ends", subject));

    /// <summary>The last hour at which somebody works before a spell.</summary>
    /// <param name="begins">Start of the spell.</param>
    /// <param name="now">The instant of the run.</param>
    /// <param name="zone">Zone of the place.</param>
    /// <returns>Never before <paramref name="now"/>: a spell that has begun asks for work at once.</returns>
    internal Instant Before(Instant begins, Instant now, DateTimeZone zone)
    {
        Instant wanted = begins - Lead;
        LocalDateTime local = wanted.InZone(zone).LocalDateTime;
        double hour = local.TimeOfDay.TickOfDay / (double)NodaConstants.TicksPerHour;
        if (hour < DayBegins)
        {
            wanted = At(local.Date.PlusDays(-1), DayEnds, zone);
        }
        else if (hour > DayEnds)
        {
            wanted = At(local.Date, DayEnds, zone);
        }

        return wanted > now ? wanted : now;
    }

    /// <summary>The last working hour of a day, or of the first day after it that ends after an instant.</summary>
    /// <param name="day">The day.</param>
    /// <param name="after">No hour is named before it.</param>
    /// <param name="zone">Zone of the place.</param>
    internal Instant EndOf(LocalDate day, Instant after, DateTimeZone zone)
    {
        LocalDate last = LocalDate.Max(day, after.InZone(zone).Date);
        Instant end = At(last, DayEnds, zone);
        return end > after ? end : At(last.PlusDays(1), DayEnds, zone);
    }

    private static Instant At(LocalDate day, double hour, DateTimeZone zone)
    {
        int minutes = (int)Math.Round(hour * 60);
        return (day.AtMidnight() + Period.FromMinutes(Math.Min(minutes, (24 * 60) - 1))).InZoneLeniently(zone).ToInstant();
    }
}

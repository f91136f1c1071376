using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Days and hours as growers say them, seen from the round's day and the place's zone.</summary>
/// <param name="Today">The round's day.</param>
/// <param name="Zone">Zone of the place.</param>
internal readonly record struct DayWords(LocalDate Today, DateTimeZone Zone)
{
    private static readonly LocalTimePattern Clock = LocalTimePattern.CreateWithInvariantCulture("HH:mm");
    private static readonly LocalDatePattern Week = LocalDatePattern.CreateWithInvariantCulture("ddd");
    private static readonly LocalDatePattern Full = LocalDatePattern.CreateWithInvariantCulture("ddd d MMM");

    /// <summary>"14:00" today, "Sat 14:00" within a week, else "Sat 30 May, 14:00".</summary>
    internal string At(Instant instant)
    {
        LocalDateTime local = instant.InZone(Zone).LocalDateTime;
        int days = Period.DaysBetween(Today, local.Date);
        string clock = Clock.Format(local.TimeOfDay);
        return days == 0 ? clock : days is > 0 and < 7 ? Week.Format(local.Date) + " " + clock : Full.Format(local.Date) + ", " + clock;
    }

    /// <summary>The same in a sentence: "at 14:00", "on Sat at 14:00", "on Sat 30 May at 14:00".</summary>
    internal string AtHour(Instant instant)
    {
        LocalDateTime local = instant.InZone(Zone).LocalDateTime;
        string at = "at " + Clock.Format(local.TimeOfDay);
        return local.Date == Today ? at : $"on {Named(local.Date)} {at}";
    }

    /// <summary>"before 10:00", "at once" when the hour is now.</summary>
    internal string Before(Instant instant, Instant now) => instant <= now + Duration.FromMinutes(30) ? "at once" : "before " + At(instant);

    /// <summary>"today", "tomorrow", "Sat" within a week, else "Sat 30 May".</summary>
    internal string Day(LocalDate date) => Period.DaysBetween(Today, date) switch
    {
        0 => "today",
        1 => "tomorrow",
        _ => Named(date),
    };

    /// <summary>The same in a sentence: "today", "tomorrow", "on Sat", "on Sat 30 May".</summary>
    internal string On(Instant instant) => DayOf(instant) is var day && day is "today" or "tomorrow" ? day : "on " + day;

    // "Sat" within a week, else "Sat 30 May".
    private string Named(LocalDate date) => (Period.DaysBetween(Today, date) is > 0 and < 7 ? Week : Full).Format(date);

    /// <summary>The day of an hour's middle.</summary>
    internal string DayOf(Instant instant) => Day((instant - Duration.FromMinutes(30)).InZone(Zone).Date);
}

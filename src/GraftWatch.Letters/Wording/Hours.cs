using System.Globalization;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Letters.Wording;

/// <summary>Days and hours as growers say them, seen from one local day and zone. Parts of a date hold together by <see cref="Numbers.Glue"/>.</summary>
/// <param name="today">The letter's local day.</param>
/// <param name="zone">Zone of the place.</param>
internal sealed class Hours(LocalDate today, DateTimeZone zone)
{
    private static readonly LocalDatePattern LongDay = LocalDatePattern.CreateWithInvariantCulture("dddd d MMMM uuuu");
    private static readonly LocalDatePattern ShortDay = LocalDatePattern.CreateWithInvariantCulture("ddd'\u00A0'd'\u00A0'MMM");
    private static readonly LocalDatePattern WeekDay = LocalDatePattern.CreateWithInvariantCulture("ddd");
    private static readonly LocalDatePattern PlainDay = LocalDatePattern.CreateWithInvariantCulture("d'\u00A0'MMM");
    private static readonly LocalTimePattern Clock = LocalTimePattern.CreateWithInvariantCulture("HH:mm");

    /// <summary>"Thursday 14 May 2026".</summary>
    public static string Long(LocalDate date) => LongDay.Format(date);

    /// <summary>"Thu 14 May".</summary>
    public static string Short(LocalDate date) => ShortDay.Format(date);

    /// <summary>"14 May", "2 Jan 2027" in another year than <paramref name="today"/>.</summary>
    public static string PlainFrom(LocalDate today, LocalDate date) => Plain(date) + Year(today, date);

    /// <summary>"Thu 14 May", "Sat 2 Jan 2027" in another year than <paramref name="today"/>.</summary>
    public static string ShortFrom(LocalDate today, LocalDate date) => Short(date) + Year(today, date);

    private static string Year(LocalDate today, LocalDate date) =>
        date.Year == today.Year ? string.Empty : Numbers.Glue + date.Year.ToString(CultureInfo.InvariantCulture);

    /// <summary>"14 May".</summary>
    public static string Plain(LocalDate date) => PlainDay.Format(date);

    /// <summary>"11:00" today, "Fri 11:00" within the six days after, "Fri 29 May, 11:00" on another day.</summary>
    public string At(Instant instant)
    {
        LocalDateTime local = instant.InZone(zone).LocalDateTime;
        int days = Period.DaysBetween(today, local.Date);
        string clock = Clock.Format(local.TimeOfDay);
        return days == 0 ? clock : days is > 0 and < 7 ? WeekDay.Format(local.Date) + Numbers.Glue + clock : $"{Short(local.Date)}, {clock}";
    }

    /// <summary>"before 11:00", "at once" when the hour is now.</summary>
    public string Before(Instant instant, Instant now) => instant <= now + Duration.FromMinutes(30) ? "at once" : Before(instant);

    /// <summary>"before 11:00"; midnight belongs to the day that ends.</summary>
    public string Before(Instant instant)
    {
        LocalDateTime local = instant.InZone(zone).LocalDateTime;
        if (local.TimeOfDay == LocalTime.Midnight)
        {
            LocalDate ends = local.Date.PlusDays(-1);
            return ends == today ? "by tonight" : "by the end of " + Short(ends);
        }

        return local.Date == today || local.TimeOfDay < new LocalTime(23, 0) ? "before " + At(instant) : "by the end of " + Short(local.Date);
    }

    /// <summary>"until 18:00".</summary>
    public string Until(Instant instant) =>
        instant.InZone(zone).TimeOfDay == LocalTime.Midnight ? Before(instant) : "until " + At(instant);

    /// <summary>Whether the instant falls on the letter's day or before it; midnight at its end does.</summary>
    public bool IsBeforeTomorrow(Instant instant) => (instant - Duration.Epsilon).InZone(zone).Date <= today;

    /// <summary>Whether the instant falls on the letter's day; midnight at its end does.</summary>
    public bool IsToday(Instant instant) => (instant - Duration.Epsilon).InZone(zone).Date == today;

    /// <summary>"1 h old", "40 min old", "3 days old".</summary>
    public static string Age(Duration age)
    {
        if (age < Duration.FromMinutes(1))
        {
            return "just made";
        }

        double minutes = age.TotalMinutes;
        return minutes < 60 ? string.Create(CultureInfo.InvariantCulture, $"{Math.Floor(minutes)} min old")
            : minutes < 48 * 60 ? string.Create(CultureInfo.InvariantCulture, $"{Math.Floor(minutes / 60)} h old")
            : string.Create(CultureInfo.InvariantCulture, $"{Math.Floor(minutes / 1440)} days old");
    }
}

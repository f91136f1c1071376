using System.Globalization;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Pages.Language;

/// <summary>Days and hours of a place in the grower's language.</summary>
/// <param name="language">Language.</param>
/// <param name="zone">Zone of the place.</param>
internal sealed class Days(PageLanguage language, DateTimeZone zone)
{
    private static readonly LocalTimePattern Clock = LocalTimePattern.CreateWithInvariantCulture("HH:mm");
    private static readonly string[] EnglishDays = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];
    private static readonly string[] GermanDays = ["Montag", "Dienstag", "Mittwoch", "Donnerstag", "Freitag", "Samstag", "Sonntag"];
    private static readonly string[] EnglishMonths = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
    private static readonly string[] GermanMonths = ["Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November", "Dezember"];

    /// <summary>Zone of the place.</summary>
    internal DateTimeZone Zone => zone;

    private bool German => language == PageLanguage.German;

    /// <summary>The local day of an instant.</summary>
    internal LocalDate Of(Instant at) => at.InZone(zone).Date;

    /// <summary>"Thursday 14 May 2026", "Donnerstag, 14. Mai 2026".</summary>
    internal string Long(LocalDate date) => German
        ? string.Create(CultureInfo.InvariantCulture, $"{WeekDay(date)}, {date.Day}. {GermanMonths[date.Month - 1]} {date.Year}")
        : string.Create(CultureInfo.InvariantCulture, $"{WeekDay(date)} {date.Day} {EnglishMonths[date.Month - 1]} {date.Year}");

    /// <summary>"Thu 14 May", "Do 14. Mai".</summary>
    internal string Short(LocalDate date) => German
        ? string.Create(CultureInfo.InvariantCulture, $"{WeekDay(date)[..2]} {date.Day}.\u00A0{Month(date)}")
        : string.Create(CultureInfo.InvariantCulture, $"{WeekDay(date)[..3]} {date.Day}\u00A0{Month(date)}");

    /// <summary>"14 May 2026", "14. Mai 2026".</summary>
    internal string Plain(LocalDate date) => German
        ? string.Create(CultureInfo.InvariantCulture, $"{date.Day}.\u00A0{Month(date)}\u00A0{date.Year}")
        : string.Create(CultureInfo.InvariantCulture, $"{date.Day}\u00A0{Month(date)}\u00A0{date.Year}");

    /// <summary>"05:30".</summary>
    internal static string Hour(LocalTime time) => Clock.Format(time);

    /// <summary>"05:30", the hour at the place.</summary>
    internal string Hour(Instant at) => Clock.Format(at.InZone(zone).TimeOfDay);

    /// <summary>"Thu 14 May, 05:30".</summary>
    internal string At(Instant at) => $"{Short(Of(at))}, {Hour(at)}";

    private string WeekDay(LocalDate date) => (German ? GermanDays : EnglishDays)[(int)date.DayOfWeek - 1];

    private string Month(LocalDate date)
    {
        string name = (German ? GermanMonths : EnglishMonths)[date.Month - 1];
        return name.Length <= 4 ? name : name[..3] + (German ? "." : string.Empty);
    }
}

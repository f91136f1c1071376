using NodaTime;

namespace GraftWatch.Aftercare.Climate;

/// <summary>Local days, nights and hours of a grid of UTC hours.</summary>
internal sealed class HourCalendar
{
    /// <summary>Lays the calendar.</summary>
    /// <param name="firstHourEnd">End of hour 0.</param>
    /// <param name="hours">Number of hours.</param>
    /// <param name="zone">Zone of the place.</param>
    internal HourCalendar(Instant firstHourEnd, int hours, DateTimeZone zone)
    {
        Day = new int[hours];
        Night = new int[hours];
        LocalHour = new int[hours];
        var dates = new List<LocalDate>();
        LocalDate first = (firstHourEnd - Duration.FromMinutes(30)).InZone(zone).Date;
        for (int i = 0; i < hours; i++)
        {
            // The middle of the hour decides which day it belongs to.
            LocalDateTime middle = (firstHourEnd + Duration.FromMinutes((60 * i) - 30)).InZone(zone).LocalDateTime;
            int day = Period.DaysBetween(first, middle.Date);
            while (dates.Count <= day)
            {
                dates.Add(first.PlusDays(dates.Count));
            }

            Day[i] = day;
            LocalHour[i] = middle.Hour;
            Night[i] = middle.Hour < 12 ? day : day + 1;
        }

        Dates = dates;
    }

    /// <summary>Number of the local day of each hour, from 0.</summary>
    internal int[] Day { get; }

    /// <summary>Number of the night of each hour, noon to noon, named after the day it ends on.</summary>
    internal int[] Night { get; }

    /// <summary>Local clock hour in which each hour's middle lies, 0 to 23.</summary>
    internal int[] LocalHour { get; }

    /// <summary>The local days.</summary>
    internal IReadOnlyList<LocalDate> Dates { get; }
}

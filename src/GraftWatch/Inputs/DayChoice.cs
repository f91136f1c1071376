using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Schedules;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Inputs;

/// <summary>Which day of a file a round is for, and the instant at which that morning is judged.</summary>
/// <param name="Date">The local day.</param>
/// <param name="Now">The letter hour of that day: hours that end at or before it are past.</param>
/// <param name="Note">Why this day, when the user did not name one; empty otherwise.</param>
internal sealed record DayChoice(LocalDate Date, Instant Now, string Note)
{
    /// <summary>Days after the day of the round whose hours count as forecast.</summary>
    internal const int ForecastDays = 10;

    /// <summary>Chooses the day.</summary>
    /// <param name="wanted">The day the user named, or null.</param>
    /// <param name="weather">The hours at hand.</param>
    /// <param name="zone">Zone of the local day.</param>
    /// <param name="letterTime">The letter hour.</param>
    /// <param name="clock">The instant of the run.</param>
    /// <param name="file">Name of the file, for sentences.</param>
    /// <param name="preferLast">Whether a file that does not reach today gives its last day rather than its first.</param>
    /// <param name="fault">Why no day fits.</param>
    internal static DayChoice? Choose(
        LocalDate? wanted, HourlyWeather weather, DateTimeZone zone, LocalTime letterTime, Instant clock, string file, bool preferLast, out string fault)
    {
        fault = string.Empty;
        if (wanted is { } named)
        {
            if (Morning(zone, letterTime, named) is { } morning && morning < weather.LastHourEnd && EndOf(zone, named) > weather.FirstHourEnd)
            {
                return new DayChoice(named, morning, string.Empty);
            }

            fault = $"--date {Iso(named)} is not in {file}: its hours run from {Iso(FirstDay(weather, zone))} to {Iso(weather.LastHourEnd.InZone(zone).Date)}, local time {zone.Id}.";
            return null;
        }

        LocalDate today = clock.InZone(zone).Date;
        if (Morning(zone, letterTime, today) is { } now && weather.FirstHourEnd <= now && weather.LastHourEnd >= EndOf(zone, today))
        {
            return new DayChoice(today, now, string.Empty);
        }

        if (preferLast)
        {
            LocalDate last = (weather.LastHourEnd - Duration.FromHours(1)).InZone(zone).Date;
            return new DayChoice(last, weather.LastHourEnd, string.Empty);
        }

        for (LocalDate date = FirstDay(weather, zone); EndOf(zone, date) <= weather.LastHourEnd; date = date.PlusDays(1))
        {
            bool whole = weather.FirstHourEnd <= StartOf(zone, date) + Duration.FromHours(1);
            if (whole && Morning(zone, letterTime, date) is { } first)
            {
                return new DayChoice(date, first, $"{file} does not reach today; the round is for {Iso(date)}, its first whole day. Name another with --date.");
            }
        }

        fault = $"{file} has no whole day: its hours run from {weather.FirstHourEnd} to {weather.LastHourEnd}. Name a day with --date, or save a longer reply.";
        return null;
    }

    /// <summary>End of the last hour that counts: <see cref="ForecastDays"/> days after the day of the round.</summary>
    internal Instant LastHourEnd(DateTimeZone zone) => EndOf(zone, Date.PlusDays(ForecastDays));

    private static Instant? Morning(DateTimeZone zone, LocalTime time, LocalDate date) => LetterSchedule.DueAt(zone, time, date);

    private static LocalDate FirstDay(HourlyWeather weather, DateTimeZone zone) => (weather.FirstHourEnd - Duration.FromHours(1)).InZone(zone).Date;

    private static Instant StartOf(DateTimeZone zone, LocalDate date) => zone.AtStartOfDay(date).ToInstant();

    private static Instant EndOf(DateTimeZone zone, LocalDate date) => zone.AtStartOfDay(date.PlusDays(1)).ToInstant();

    private static string Iso(LocalDate date) => LocalDatePattern.Iso.Format(date);
}

using System.Diagnostics;
using System.Globalization;
using NodaTime;

namespace GraftWatch.Crash.Watching;

/// <summary>A long life with ordinary troubles: a year with its leap day and changes of clocks in both hemispheres, restarts, a weather service and a mail server that are away now and then, wrong edits of the settings.</summary>
public static class YearRun
{
    /// <summary>Short lives before the long one.</summary>
    public const int UsualShortLives = 6;

    private const int Month = 30;
    private static readonly TimeSpan Patience = TimeSpan.FromHours(2);
    private static readonly Instant Begin = Instant.FromUtc(2027, 12, 1, 3, 10);

    /// <summary>What a trouble that comes from outside is told as.</summary>
    private static readonly HashSet<string> Outside = new(StringComparer.Ordinal) { "NotChecked", "SettingsRefused", "WeatherFailed" };

    /// <summary>Lives through so many days and judges them.</summary>
    /// <param name="days">Simulated days.</param>
    /// <param name="log">Hears what came of it.</param>
    /// <param name="shortLives">Short lives before the long one; with none a run of a few months shows how memory stands.</param>
    public static async Task<YearReport> RunAsync(int days, Action<string> log, int shortLives = UsualShortLives)
    {
        var watch = Stopwatch.StartNew();
        await using var season = new Season(Begin) { Tolerated = Outside, IsWeatherAway = IsWeatherAway };
        season.Weather.AwayWhen = () => IsWeatherAway(season.Now);
        season.Sink.BusyWhen = () => IsMailBusy(season.Now);
        Instant end = Begin + Duration.FromDays(days);
        int lives = 0;
        while (season.Now < end)
        {
            // Short lives first and last, and a long one between them in which memory can be seen to stand still.
            int left = (int)Math.Ceiling((end - season.Now).TotalDays);
            int length = lives < shortLives ? Math.Min(left, 5 + (lives * 3)) : left > 60 ? left - 30 : Math.Min(left, 10);
            Process life = season.Begin(season.Options with { ClumsyOperator = true, UntilSeconds = (season.Now + Duration.FromDays(length)).ToUnixTimeSeconds() });
            await season.EndAsync(life, Patience);
            lives++;
            season.Away(Duration.FromMinutes(7 * lives % 45));
        }

        await season.QuietAsync(season.Options, Patience, Duration.FromDays(2));
        var tally = new Tally();
        tally.Add(SlotOracle.Judge(season, quiet: true), 0, "year");
        if (tally.Failed > 0)
        {
            season.IsKept = true;
            log($"kept to be looked at: {season.Store}");
        }

        DayMark[] longest = [.. season.Days.GroupBy(one => one.Life).OrderByDescending(group => group.Count()).FirstOrDefault() ?? Enumerable.Empty<DayMark>()];

        // One look may meet buffers that are kept for a while; the middle one of thirty days does not.
        double[] months = [.. longest.Chunk(Month).Where(marks => marks.Length == Month).Select(marks => (double)marks.Select(day => day.UsedBytes).Order().ElementAt(Month / 2))];
        double drift = months.Length < 3 ? double.NaN : (months[^1] / months[1]) - 1;
        log(string.Create(CultureInfo.InvariantCulture, $"{days} days in {watch.Elapsed.TotalMinutes:0.0} min, {lives + 1} lives, store {new FileInfo(season.Store).Length / 1e6:0.0} MB; told of the outside: {string.Join(", ", season.Expected.Select(told => $"{told.Key} {told.Value}"))}"));
        log("bytes in use in the longest life, median of each 30 days: " + string.Join(' ', months.Select(used => (used / 1e6).ToString("0.00", CultureInfo.InvariantCulture))) + string.Create(CultureInfo.InvariantCulture, $" MB; drift from the second to the last {drift:P1}; written to the disk {WrittenADay(longest) / 1e6:0.0} MB a day, {WrittenADay([.. longest.TakeLast(Month)]) / 1e6:0.0} MB in its last 30"));
        log(tally.ToString());
        return new YearReport(tally, drift);
    }

    private static double WrittenADay(DayMark[] marks) =>
        marks.Length < 2 ? double.NaN : (marks[^1].WrittenBytes - marks[0].WrittenBytes) / (marks[^1].At - marks[0].At).TotalDays;

    // Never near a frost that comes as a surprise, whose notes are judged by the hour: days of the year that leave 2 by 3.
    private static bool IsWeatherAway(Instant now)
    {
        LocalDateTime utc = now.InUtc().LocalDateTime;
        return utc.DayOfYear % 6 == 5 && utc.Hour < 11;
    }

    private static bool IsMailBusy(Instant now)
    {
        LocalDateTime utc = now.InUtc().LocalDateTime;
        return (utc.DayOfYear % 9 == 2 && utc.Hour is >= 4 and < 7) || (utc.DayOfYear % 36 == 5 && utc.Hour is >= 2 and < 22);
    }
}

/// <summary>What a life says of itself once a simulated day.</summary>
/// <param name="Life">Which life.</param>
/// <param name="At">When, on the simulated clock.</param>
/// <param name="UsedBytes">Managed memory in use after a full collection.</param>
/// <param name="WrittenBytes">Bytes sent to the disk since the life began, by the system's account; 0 where there is none.</param>
internal sealed record DayMark(int Life, Instant At, long UsedBytes, long WrittenBytes);

/// <summary>What came of a year.</summary>
/// <param name="Tally">Letters, judged.</param>
/// <param name="Drift">Growth of memory in use from the second 30 days of the longest life to its last, by medians, as a fraction; NaN for a run that is too short.</param>
public sealed record YearReport(Tally Tally, double Drift);

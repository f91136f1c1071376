using System.Globalization;
using System.Runtime.CompilerServices;
using System.Security.Cryptography;
using System.Text;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Rounds.Tests.Fakes;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Rounds.Tests.Schedules;

/// <summary>Letter hours against the IANA database as another library reads it; the two files name their source.</summary>
public sealed class GoldenDaysTests
{
    private const string Release = "2026f";
    private static readonly string[] Hours = ["00:15", "02:30", "06:30", "23:50"];
    private static readonly MorningPolicy Policy = new();

    private sealed record GoldenDay(string Zone, string Date, string Hour, string Due);

    [Fact]
    public void On_every_golden_day_each_letter_hour_is_due_where_another_library_puts_it()
    {
        GoldenDay[] days = Read("golden-days.csv").Select(row => new GoldenDay(row[0], row[1], row[2], row[3])).ToArray();
        string[] wrong = [.. days.Where(day => Due(day) != LetterSchedule.DueAt(Some.Grower(day.Zone, day.Hour), Some.Date(day.Date))).Select(day => day.ToString())];
        Assert.Empty(wrong);
        Assert.Equal(536, days.Length);
        Assert.Equal(16, days.Select(day => day.Zone).Distinct().Count());
    }

    [Theory]
    [InlineData("through", "the program runs all the time")]
    [InlineData("inside", "it is started within the hour after the letter hour")]
    [InlineData("asleep", "the machine sleeps from before the hour until two hours after it")]
    [InlineData("back", "the clock is set back by an hour ten minutes after the hour")]
    public void On_every_golden_day_exactly_one_letter_is_made_however_the_program_meets_its_hour(string way, string because)
    {
        var wrong = new List<string>();
        int letters = 0;
        foreach (string[] row in Read("golden-days.csv").Where(row => row[3].Length > 0))
        {
            var day = new GoldenDay(row[0], row[1], row[2], row[3]);
            Instant due = Due(day)!.Value;
            Grower grower = Some.Grower(day.Zone, day.Hour);
            List<(LocalDate Date, Instant At)> made = Made(grower, Looks(due, way));
            letters += made.Count;
            // A look may also come upon the letter of the date before or after; that of this date is made once, and not early.
            (LocalDate Date, Instant At)[] own = [.. made.Where(letter => letter.Date == Some.Date(day.Date))];
            if (own.Length != 1 || own[0].At < due || made.Select(letter => letter.Date).Distinct().Count() != made.Count)
            {
                wrong.Add($"{day}: {string.Join(", ", made)}");
            }
        }

        Assert.True(wrong.Count == 0, $"{because}: {string.Join('\n', wrong)}");
        Assert.True(letters >= 532, because);
    }

    [Fact]
    public void In_every_zone_every_letter_to_the_end_of_2031_is_due_where_another_library_puts_it()
    {
        var ids = DateTimeZoneProviders.Tzdb.Ids.ToHashSet();
        string[][] rows = [.. Read("zone-digests.csv").Where(row => ids.Contains(row[0]))];
        string[] other = [.. rows.AsParallel().Where(row => Digest(row[0]) != (row[1], row[2])).Select(row => row[0])];
        // With the same release all agree; another release changes a few zones, and then the file is made anew.
        bool sameRelease = DateTimeZoneProviders.Tzdb.VersionId.Contains(Release, StringComparison.Ordinal);
        Assert.True(other.Length <= (sameRelease ? 0 : 40), $"{DateTimeZoneProviders.Tzdb.VersionId}: {string.Join(", ", other)}");
        Assert.True(rows.Length >= 590, $"{rows.Length} zones");
        Assert.True(ids.Count - rows.Length <= 8, string.Join(", ", ids.Except(rows.Select(row => row[0]))));
    }

    [Fact]
    public void In_every_zone_letters_to_the_end_of_2031_come_in_the_order_of_their_dates_and_at_half_past_six_never_shifted()
    {
        var wrong = DateTimeZoneProviders.Tzdb.Ids.AsParallel().SelectMany(id => Hours.SelectMany(hour => OutOfOrder(id, hour))).ToList();
        Assert.Empty(wrong);
    }

    // There the clocks go from 23:00 to 00:00, so that ten to twelve of that evening comes on the next date; the day has no letter.
    [Fact]
    public void Only_in_Greenland_does_a_letter_hour_before_midnight_fall_out_with_a_change_of_clocks()
    {
        string[] without = [.. DateTimeZoneProviders.Tzdb.Ids.AsParallel().Where(id => Enumerable.Range(0, 1948).Any(day => LetterSchedule.DueAt(Some.Grower(id, "23:50"), new LocalDate(2026, 9, 1).PlusDays(day)) is null)).Order(StringComparer.Ordinal)];
        Assert.Equal(["America/Godthab", "America/Nuuk", "America/Scoresbysund"], without);
    }

    private static IEnumerable<string> OutOfOrder(string id, string hour)
    {
        Grower grower = Some.Grower(id, hour);
        Instant last = Instant.MinValue;
        for (LocalDate date = new(2026, 9, 1); date < new LocalDate(2032, 1, 1); date = date.PlusDays(1))
        {
            if (LetterSchedule.DueAt(grower, date) is not { } due)
            {
                if (hour != "23:50")
                {
                    yield return $"{id} has no {date:R}";
                }

                continue;
            }

            if (due <= last)
            {
                yield return $"{id} {hour} {date:R} is not after the day before";
            }

            if (hour == "06:30" && due.InZone(grower.Zone).TimeOfDay != grower.LetterTime)
            {
                yield return $"{id} {hour} {date:R} is shifted";
            }

            last = due;
        }
    }

    // Looks as the daemon's beat makes them, every five minutes to keep the test short.
    private static IEnumerable<Instant> Looks(Instant due, string way)
    {
        (int From, int To)[] spans = way switch
        {
            "through" => [(-180, 180)],
            "inside" => [(35, 180)],
            "asleep" => [(-60, -5), (120, 180)],
            "back" => [(-60, 10), (-50, 120)],
            _ => throw new ArgumentOutOfRangeException(nameof(way)),
        };
        return spans.SelectMany(span => Enumerable.Range(0, (span.To - span.From) / 5 + 1).Select(step => due + Duration.FromMinutes(span.From + (5 * step))));
    }

    private static List<(LocalDate Date, Instant At)> Made(Grower grower, IEnumerable<Instant> looks)
    {
        var taken = new HashSet<LocalDate>();
        var made = new List<(LocalDate Date, Instant At)>();
        foreach (Instant look in looks)
        {
            if (LetterSchedule.Decide(grower, look, Policy) is MorningDecision.Due(var letter, _) && taken.Add(letter.Date))
            {
                made.Add((letter.Date, look));
            }
        }

        return made;
    }

    private static (string Letters, string Digest) Digest(string id)
    {
        Grower[] growers = [.. Hours.Select(hour => Some.Grower(id, hour))];
        var text = new StringBuilder();
        int letters = 0;
        for (LocalDate date = new(2026, 9, 1); date < new LocalDate(2032, 1, 1); date = date.PlusDays(1))
        {
            foreach (Grower grower in growers)
            {
                if (LetterSchedule.DueAt(grower, date) is { } due)
                {
                    letters++;
                    text.Append(due.ToUnixTimeSeconds()).Append('\n');
                }
                else
                {
                    text.Append("-\n");
                }
            }
        }

        return (letters.ToString(CultureInfo.InvariantCulture), Convert.ToHexStringLower(SHA256.HashData(Encoding.ASCII.GetBytes(text.ToString())))[..16]);
    }

    private static Instant? Due(GoldenDay day) => day.Due.Length == 0 ? null : InstantPattern.General.Parse(day.Due).Value;

    private static IEnumerable<string[]> Read(string file, [CallerFilePath] string here = "") =>
        File.ReadLines(Path.Combine(Path.GetDirectoryName(here)!, file)).Where(line => !line.StartsWith('#')).Skip(1).Select(line => line.Split(','));
}

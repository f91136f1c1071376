using System.Security.Cryptography;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Wording;
using NodaTime;

namespace GraftWatch.Letters.Calendar;

/// <summary>Dated work of rounds as calendar tasks, followed from letter to letter.</summary>
public static class CalendarTasks
{
    private static readonly Duration ShortestSpan = Duration.FromMinutes(15);

    /// <summary>The dated work of a round: work with a last instant that lies ahead.</summary>
    /// <param name="round">The round.</param>
    /// <param name="domain">Domain of the identifiers.</param>
    /// <param name="letter">Number of the letter; becomes the sequence.</param>
    public static IReadOnlyList<CalendarTask> Of(Round round, string domain, int letter)
    {
        ArgumentNullException.ThrowIfNull(round);
        return
        [
            .. round.Advice
                .Where(a => a.DoBy is { } by && by > round.Now && Words.Work(a.Action, a.Unions) is not null)
                .Select(a => Task(round, a, domain, letter))
                .DistinctBy(t => t.Uid),
        ];
    }

    /// <summary>What calendars should know after a letter, given what they knew before it.</summary>
    /// <param name="before">As the letter before left it; empty when there was none.</param>
    /// <param name="now">The dated work of this letter.</param>
    /// <param name="letter">Number of this letter.</param>
    /// <param name="at">The instant of this letter.</param>
    /// <returns>Work as it is; work that fell away since as cancelled, for ninety days.</returns>
    public static IReadOnlyList<CalendarTask> Follow(IReadOnlyList<CalendarTask> before, IReadOnlyList<CalendarTask> now, int letter, Instant at)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(now);
        Dictionary<string, CalendarTask> known = before.ToDictionary(t => t.Uid, StringComparer.Ordinal);
        HashSet<string> open = [.. now.Select(t => t.Uid)];
        IEnumerable<CalendarTask> current = now.Select(task =>
            known.TryGetValue(task.Uid, out CalendarTask? old) && old == task with { Sequence = old.Sequence, Changed = old.Changed } ? old : task);
        IEnumerable<CalendarTask> gone = before
            .Where(t => !open.Contains(t.Uid) && (!t.IsCancelled || at - t.Changed < Duration.FromDays(90)))
            .Select(t => t.IsCancelled ? t : t with { IsCancelled = true, Sequence = Math.Max(letter, t.Sequence + 1), Changed = at });
        return [.. current, .. gone];
    }

    private static CalendarTask Task(Round round, Advice advice, string domain, int letter)
    {
        DateTimeZone zone = round.Places.FirstOrDefault(p => p.Place.Name == advice.Place)?.Place.Zone
            ?? (round.Places.Count > 0 ? round.Places[0].Place.Zone : DateTimeZone.Utc);
        string bring = advice.Materials.Count > 0 ? "Bring: " + string.Join(", ", advice.Materials.Select(PlainWords.Name)) + "." : string.Empty;
        string takes = Numbers.Minutes(advice.Minutes) is { Length: > 0 } minutes ? "Takes " + minutes + "." : string.Empty;
        return new CalendarTask(
            Uid(round.Grower, advice.Id, domain),
            letter,
            IsCancelled: false,
            round.Now,
            Span(round, advice, zone),
            Capital(Words.Work(advice.Action, advice.Unions)!),
            string.Join('\n', new[] { PlainWords.Sentence(advice.Text), PlainWords.Sentence(advice.Why), bring, takes }.Where(s => s.Length > 0)),
            string.Join(", ", new[] { PlainWords.Name(advice.Place), PlainWords.Name(advice.Where) }.Where(s => s.Length > 0)));
    }

    /// <summary>Work against a hazard has hours; dated work has days, from its first day (today when none is said) to its last.</summary>
    private static CalendarSpan Span(Round round, Advice advice, DateTimeZone zone)
    {
        Instant by = advice.DoBy!.Value;
        if (advice.Hazard is null)
        {
            LocalDate last = (by - Duration.Epsilon).InZone(zone).Date;
            LocalDate first = advice.DoFrom is { } start ? start.InZone(zone).Date : last;
            return new CalendarSpan.Days(LocalDate.Min(first, last), last);
        }

        Instant from = advice.DoFrom ?? by - Duration.FromMinutes(double.IsFinite(advice.Minutes) ? Math.Clamp(advice.Minutes, 15, 240) : 15);
        return new CalendarSpan.Hours(Instant.Min(from, by - ShortestSpan), by);
    }

    private static string Uid(string grower, string advice, string domain) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes("graftwatch task 1\n" + grower + "\n" + advice)).AsSpan(0, 15)) + "@" + domain;

    private static string Capital(string text) => char.ToUpperInvariant(text[0]) + text[1..];
}

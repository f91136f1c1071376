using System.Globalization;
using NodaTime;

namespace GraftWatch.Crash.Watching;

/// <summary>Judges the urgent notes of a season: one a reader for each frost nobody foresaw in the morning, none twice, and none at another time.</summary>
internal static class UrgentOracle
{
    private const int NoonToFrostHours = 6, LastHours = 36;

    /// <summary>Judges; gives the number of notes that must be.</summary>
    internal static int Judge(Season season, List<StoredLetter> stored, List<string> faults)
    {
        int musts = 0;
        HashSet<StoredLetter> left = [.. stored.Where(letter => letter.Urgent)];
        DateTime[] firsts = [.. season.FirstPasses.Select(ticks => DateTime.UnixEpoch.AddTicks(ticks))];
        DateTime last = season.Now.ToDateTimeUtc().AddDays(1);
        for (DateTime noon = season.Start.ToDateTimeUtc().Date.AddDays(-1).AddHours(12); noon <= last; noon = noon.AddDays(1))
        {
            if (!WeatherService.IsSurprising(LocalDate.FromDateTime(noon)))
            {
                continue;
            }

            // A forecast that was fetched after noon is still there when the clock is set back before it.
            DateTime known = season.EarliestAfter(noon);
            DateTime[] looks = [.. firsts.Where(look => look >= noon && look < noon.AddHours(NoonToFrostHours))];
            foreach (Reader reader in Reader.All)
            {
                StoredLetter[] notes = [.. left.Where(note => note.Name == reader.Name && SealedAt(note) >= known && SealedAt(note) < noon.AddHours(LastHours))];
                left.ExceptWith(notes);
                bool must = looks.Any(look => LetterIsOut(stored, reader, look, noon));
                musts += must ? 1 : 0;
                if (must && notes.Length == 0)
                {
                    faults.Add(string.Create(CultureInfo.InvariantCulture, $"missing: {reader.Name} has no urgent note of the frost after {noon:u}"));
                }

                // Who has the letter around midnight may be told later of other work, once the sudden frost has left the forecast.
                if (notes.GroupBy(Work, StringComparer.Ordinal).Where(same => same.Count() > 1).Select(same => same.Key).FirstOrDefault() is { } work)
                {
                    faults.Add(string.Create(CultureInfo.InvariantCulture, $"twice: {reader.Name} has {notes.Length} urgent notes of the frost after {noon:u} that say \"{work}\""));
                }
            }
        }

        left.RemoveWhere(note => LetterWasBlind(season, stored, note));
        faults.AddRange(left.Select(note => string.Create(CultureInfo.InvariantCulture, $"unexpected: an urgent note to {note.Name} for {note.Date:yyyy-MM-dd}, sealed at {SealedAt(note):u}, in a season from {season.Start.ToDateTimeUtc():u}")));
        return musts;
    }

    // Before the day's letter is out, that letter says it; one sealed after noon has said it.
    private static bool LetterIsOut(List<StoredLetter> stored, Reader reader, DateTime look, DateTime noon)
    {
        DateOnly today = DateOnly.FromDateTime(TimeZoneInfo.ConvertTimeFromUtc(look, TimeZoneInfo.FindSystemTimeZoneById(reader.ZoneId)));
        return stored.Any(letter => letter.Name == reader.Name && !letter.Urgent && letter.Date == today && SealedAt(letter) < noon)
            && !stored.Any(letter => letter.Name == reader.Name && !letter.Urgent && SealedAt(letter) >= noon && SealedAt(letter) <= look);
    }

    // Whose letter had to do with an old forecast may hear of a frost when there is a new one.
    private static bool LetterWasBlind(Season season, List<StoredLetter> stored, StoredLetter note) =>
        stored.Where(letter => letter.Name == note.Name && !letter.Urgent && letter.SealedAt < note.SealedAt).MaxBy(letter => letter.SealedAt) is { } letter
        && season.IsWeatherAway(NodaConstants.UnixEpoch.PlusTicks(letter.SealedAt));

    // A subject is the day, a dot, and the work.
    private static string Work(StoredLetter note) => note.Subject[(note.Subject.IndexOf('·', StringComparison.Ordinal) + 1)..];

    private static DateTime SealedAt(StoredLetter letter) => DateTime.UnixEpoch.AddTicks(letter.SealedAt);
}

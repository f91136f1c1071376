using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Letters.Outline;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Letters;

/// <summary>The subject of a letter: the day and the work, most pressing first.</summary>
public static class SubjectLine
{
    /// <summary>Longest subject. [characters]</summary>
    public const int Limit = 70;

    /// <summary>"Thu 14 May · shade 7 unions before 11:00, stake 3 shoots".</summary>
    public static string For(Round round) => For(round, LetterKind.Morning);

    /// <summary>The same for either kind; an urgent note says that it is new.</summary>
    public static string For(Round round, LetterKind kind)
    {
        ArgumentNullException.ThrowIfNull(round);
        string day = Hours.Short(round.Date) + (kind == LetterKind.Urgent ? " · new: " : " · ");
        List<string> work = Work(round);
        if (RoundState.IsBroken(round))
        {
            int grafts = RoundState.UncheckedGrafts(round);
            work.Insert(0, grafts > 0 ? "not checked: " + Numbers.Count(grafts, "graft", "grafts") : "the round could not be made");
        }
        else if (work.Count == 0)
        {
            int known = round.Advice.Count;
            work.Add(known == 0 ? "nothing to do" : "nothing to do, " + Numbers.Count(known, "note", "notes"));
        }

        return (day + Fit(work, Limit - day.Length)).Replace(Numbers.Glue, ' ');
    }

    private static List<string> Work(Round round)
    {
        return
        [
            .. round.Advice
                .Where(a => a.Level >= Level.Act && Words.Work(a.Action, a.Unions) is not null)
                .Select((advice, index) => (Advice: advice, index))
                .GroupBy(a => a.Advice.Action)
                .OrderByDescending(g => g.Max(a => a.Advice.Level))
                .ThenBy(g => g.Min(a => a.index))
                .Select(g => Phrase(round, [.. g.Select(a => a.Advice)])),
        ];
    }

    private static string Phrase(Round round, List<Advice> same)
    {
        string work = Words.Work(same[0].Action, same.Sum(a => a.Unions))!;
        var first = same.Where(a => a.DoBy is not null).OrderBy(a => a.DoBy).FirstOrDefault();
        if (first?.DoBy is not { } by)
        {
            return work;
        }

        DateTimeZone zone = round.Places.FirstOrDefault(p => p.Place.Name == first.Place)?.Place.Zone
            ?? (round.Places.Count > 0 ? round.Places[0].Place.Zone : DateTimeZone.Utc);
        var hours = new Hours(round.Date, zone);
        return hours.IsToday(by) ? $"{work} {hours.Before(by)}" : work;
    }

    private static string Fit(List<string> phrases, int room)
    {
        for (int kept = phrases.Count; kept > 0; kept--)
        {
            string more = kept < phrases.Count ? string.Create(CultureInfo.InvariantCulture, $", {phrases.Count - kept} more") : string.Empty;
            string line = string.Join(", ", phrases.Take(kept)) + more;
            if (line.Length <= room || kept == 1)
            {
                return line;
            }
        }

        return string.Empty;
    }
}

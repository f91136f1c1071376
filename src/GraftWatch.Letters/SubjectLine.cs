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
        List<Phrase> work = [.. Work(round), .. Losses(round)];
        if (RoundState.IsBroken(round))
        {
            int grafts = RoundState.UncheckedGrafts(round);
            work.Insert(0, new(grafts > 0 ? "not checked: " + Numbers.Count(grafts, "graft", "grafts") : "the round could not be made"));
        }
        else if (work.Count == 0)
        {
            int known = round.Advice.Count;
            work.Add(new(known == 0 ? "nothing to do" : "nothing to do, " + Numbers.Count(known, "note", "notes")));
        }

        return (day + Fit(work, Limit - day.Length)).Replace(Numbers.Glue, ' ');
    }

    private static List<Phrase> Work(Round round) =>
    [
        .. round.Advice
            .Where(a => a.Level >= Level.Act && Words.Work(a.Action, a.Unions) is not null)
            .Select((advice, index) => (Advice: advice, Pressing: PressingAdvice.Of(advice, round.Date, ZoneOf(round, advice)), index))
            .GroupBy(a => (a.Advice.Action, IsSoon: a.Pressing == Pressing.Soon))
            .OrderBy(g => g.Min(a => a.Pressing))
            .ThenBy(g => g.Min(a => a.index))
            .Select(g => PhraseOf(round, [.. g.Select(a => a.Advice)])),
    ];

    private static IEnumerable<Phrase> Losses(Round round) => round.Advice
        .Where(a => a is { Level: Level.Urgent, Action: WorkAction.Know, Hazard: not null } or { Level: Level.Act, Action: WorkAction.Know, Hazard: not null and not Hazard.ColdStall })
        .GroupBy(a => (Hazard: a.Hazard!.Value, a.Level))
        .OrderByDescending(g => g.Key.Level)
        .Select(g => new Phrase(Words.Losses(g.Key.Hazard, g.Key.Level, g.Sum(a => a.Unions))));

    private static Phrase PhraseOf(Round round, List<Advice> same)
    {
        string work = Words.Work(same[0].Action, same.Sum(a => a.Unions))!;
        var first = same.Where(a => a.DoBy is not null).OrderBy(a => a.DoBy).FirstOrDefault();
        if (first?.DoBy is not { } by)
        {
            return new(work);
        }

        var hours = new Hours(round.Date, ZoneOf(round, first));
        return hours.IsToday(by) ? new(work, " " + hours.Before(by, round.Now)) : new(work);
    }

    private static DateTimeZone ZoneOf(Round round, Advice advice) =>
        round.Places.FirstOrDefault(p => p.Place.Name == advice.Place)?.Place.Zone
        ?? (round.Places.Count > 0 ? round.Places[0].Place.Zone : DateTimeZone.Utc);

    /// <summary>As many phrases as there is room for; the later ones go without their noun, then without their hour.</summary>
    private static string Fit(List<Phrase> phrases, int room)
    {
        string first = phrases[0].Work + phrases[0].When;
        for (int kept = phrases.Count; kept > 1; kept--)
        {
            string more = kept < phrases.Count ? string.Create(CultureInfo.InvariantCulture, $", {phrases.Count - kept} more") : string.Empty;
            foreach (bool hours in new[] { true, false })
            {
                string line = first + string.Concat(phrases.Take(kept).Skip(1).Select(p => ", " + p.WithoutNoun + (hours ? p.When : string.Empty))) + more;
                if (line.Length <= room)
                {
                    return line;
                }
            }
        }

        return phrases.Count == 1 ? first : first + string.Create(CultureInfo.InvariantCulture, $", {phrases.Count - 1} more");
    }

    private sealed record Phrase(string Work, string When = "")
    {
        private static readonly string[] Nouns = [" unions", " union", " shoots", " shoot"];

        /// <summary>"stake 3" for "stake 3 shoots".</summary>
        public string WithoutNoun =>
            Nouns.FirstOrDefault(noun => Work.EndsWith(noun, StringComparison.Ordinal)) is { } noun ? Work[..^noun.Length] : Work;
    }
}

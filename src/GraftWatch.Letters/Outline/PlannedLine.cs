using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters.Wording;
using NodaTime;

namespace GraftWatch.Letters.Outline;

/// <summary>One planned grafting: its good days, why the others are none, and what stock and scion must be like.</summary>
internal static class PlannedLine
{
    /// <summary>Days the letter speaks of, the letter's own among them.</summary>
    private const int DaysShown = 10;

    /// <summary>The line.</summary>
    public static string Of(GraftingOutlook plan, Round round)
    {
        GraftingDay[] days = [.. plan.Days.Where(day => day.Date >= round.Date && day.Date < round.Date.PlusDays(DaysShown))];
        if (days.Length == 0)
        {
            return PlainWords.Sentence(plan.Text) + State(plan);
        }

        string place = round.Places.Count > 1 ? " at " + PlainWords.Name(plan.Place) : string.Empty;
        string what = $"{Capital(PlainWords.Name(plan.Species.Replace('-', ' ')))}, {Name(plan.Technique)}{place}";
        return $"{what}: {string.Join(' ', Judged(days))}{State(plan)}";
    }

    private static IEnumerable<string> Judged(GraftingDay[] days)
    {
        GraftingDay[] good = [.. days.Where(day => day.IsGood)];
        GraftingDay[] unknown = [.. days.Where(day => double.IsNaN(day.ScoreFrac))];
        GraftingDay[] poor = [.. days.Except(good).Except(unknown)];
        yield return good.Length > 0 ? (good.Length == 1 ? $"the one good day is {Days(good)}." : $"good days are {Days(good)}.")
            : unknown.Length < days.Length ? "no good day among those that can be judged."
            : "no day can be judged.";
        if (poor.Length > 0)
        {
            yield return $"Not {Reasons(poor)}.";
        }

        if (unknown.Length > 0)
        {
            yield return $"Not judged: {Reasons(unknown)}.";
        }
    }

    private static string Reasons(GraftingDay[] days) =>
        string.Join("; ", days.GroupBy(Reason).Select(group => $"{Days([.. group])} ({PlainWords.Name(group.Key)})"));

    // What is not known is why a day is not judged, whatever else speaks against it.
    private static string Reason(GraftingDay day) =>
        (double.IsNaN(day.ScoreFrac) ? day.Against.FirstOrDefault(words => words.EndsWith("not known", StringComparison.Ordinal)) : null)
        ?? day.Against.FirstOrDefault("no single reason");

    private static string Days(GraftingDay[] days)
    {
        var runs = new List<string>();
        for (int i = 0; i < days.Length; i++)
        {
            int first = i;
            while (i + 1 < days.Length && days[i + 1].Date == days[i].Date.PlusDays(1))
            {
                i++;
            }

            runs.Add(Run(days[first].Date, days[i].Date));
        }

        return runs.Count < 2 ? string.Concat(runs) : string.Join(", ", runs.SkipLast(1)) + " and " + runs[^1];
    }

    private static string Run(LocalDate first, LocalDate last) =>
        first == last ? Hours.Short(first)
        : first.PlusDays(1) == last ? $"{Hours.Short(first)}, {Hours.Short(last)}"
        : $"{Hours.Short(first)} to {Hours.Short(last)}";

    private static string State(GraftingOutlook plan) =>
        plan.Stock.Length == 0 ? string.Empty : $" Stock: {PlainWords.Sentence(plan.Stock)}. Scion: {PlainWords.Sentence(plan.Scion)}.";

    private static string Name(Technique technique)
    {
        string key = TradeNames.Key(technique);
        return technique switch
        {
            Technique.TBud => "T-bud",
            Technique.ChipBud or Technique.PatchBud => key.Replace('-', ' '),
            Technique.SideVeneer => "side veneer graft",
            _ => key + " graft",
        };
    }

    private static string Capital(string words) => words.Length == 0 ? words : char.ToUpperInvariant(words[0]) + words[1..];
}

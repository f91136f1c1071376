using System.Diagnostics;
using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Replaying;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Replaying;

/// <summary>Two seasons side by side: which lines come, go and change, and what is left uncovered.</summary>
internal static class SeasonComparison
{
    private const int MostShown = 60;

    internal static string Of(SeasonResult first, SeasonResult second, string firstName, string secondName)
    {
        var text = new StringBuilder();
        text.Append(CultureInfo.InvariantCulture, $"A: {firstName}\nB: {secondName}\n\n");
        text.Append("                              A         B     B - A\n");
        Row(text, "lines act or urgent", first, second, days => days.Sum(day => day.Advice.Count(advice => advice.Level >= Level.Act)));
        Row(text, "days with such a line", first, second, days => days.Count(day => day.Advice.Any(advice => advice.Level >= Level.Act)));
        foreach (Hazard? hazard in SeasonText.Rows)
        {
            Row(text, $"  days, {SeasonText.Name(hazard)}", first, second, days => days.Count(day => day.LevelOf(hazard) >= Level.Act));
        }

        Row(text, "hours of work", first, second, days => days.Sum(SeasonText.Minutes) / 60);
        Exposure(text, first, second);
        Lines(text, [.. Changes(first, second)]);
        return text.ToString();
    }

    /// <summary>Every line that stands in one season's letter of a day and not, or at another level, in the other's.</summary>
    internal static IEnumerable<LineChange> Changes(SeasonResult first, SeasonResult second)
    {
        foreach ((SeasonDay a, SeasonDay b) in first.Days.Zip(second.Days))
        {
            foreach ((Hazard? hazard, WorkAction action) in a.Advice.Concat(b.Advice).Select(advice => (advice.Hazard, advice.Action)).Distinct())
            {
                var change = new LineChange(a.Date, hazard, action, LevelOf(a, hazard, action), LevelOf(b, hazard, action));
                if (change.Before != change.After)
                {
                    yield return change;
                }
            }
        }
    }

    private static Level LevelOf(SeasonDay day, Hazard? hazard, WorkAction action) =>
        day.Advice.Where(advice => advice.Hazard == hazard && advice.Action == action).Select(advice => advice.Level).DefaultIfEmpty(Level.None).Max();

    private static void Exposure(StringBuilder text, SeasonResult first, SeasonResult second)
    {
        text.Append("\nExposure left uncovered by the work, at or beyond each level of A\n");
        foreach (Hazard hazard in SeasonText.Rows.OfType<Hazard>())
        {
            string unit = SeasonText.UnitOf(SeasonText.Sum([], hazard));
            foreach (Level level in SeasonText.Pressing)
            {
                double before = SeasonText.Sum(first.Days, hazard).At(level);
                double after = SeasonText.Sum(second.Days, hazard).At(level);
                if (before > 0 || after > 0)
                {
                    Row(text, $"  {SeasonText.Name(hazard)}, {SeasonText.LevelName(level)}", before, after, "  " + unit);
                }
            }
        }

        Row(text, "  buds below 0 °C", first.Days.Sum(day => day.Felt.FrostHours), second.Days.Sum(day => day.Felt.FrostHours), "  union-hours");
        text.Append(SeasonText.FrostNote);
    }

    private static void Lines(StringBuilder text, LineChange[] changes)
    {
        if (changes.Length == 0)
        {
            text.Append("\nEvery letter is the same.\n");
            return;
        }

        int appear = changes.Count(change => change.Before == Level.None);
        int vanish = changes.Count(change => change.After == Level.None);
        text.Append(CultureInfo.InvariantCulture, $"\nFrom A to B {appear} lines appear, {vanish} vanish, {changes.Length - appear - vanish} change level\n");
        foreach (LineChange change in changes.Take(MostShown))
        {
            text.Append(CultureInfo.InvariantCulture, $"{LocalDatePattern.Iso.Format(change.Date)}  {SeasonText.Name(change.Hazard),-11} {Word(change.Before)} -> {Word(change.After)}  {change.Action.Key()} {change.Word}\n");
        }

        text.Append(changes.Length > MostShown ? $"and {changes.Length - MostShown} more changes; --json lists them all.\n" : string.Empty);

        static string Word(Level level) => level == Level.None ? "silent" : SeasonText.LevelName(level);
    }

    private static void Row(StringBuilder text, string name, SeasonResult first, SeasonResult second, Func<IReadOnlyList<SeasonDay>, double> count) =>
        Row(text, name, count(first.Days), count(second.Days), string.Empty);

    private static void Row(StringBuilder text, string name, double a, double b, string unit) =>
        text.Append(CultureInfo.InvariantCulture, $"{name,-24}{a,7:0.#}{b,10:0.#}{b - a,10:+0.#;-0.#;0}{unit}\n");
}

/// <summary>One line of one day's letter that differs between two seasons.</summary>
internal sealed record LineChange(LocalDate Date, Hazard? Hazard, WorkAction Action, Level Before, Level After)
{
    /// <summary>What becomes of it.</summary>
    internal string Word =>
        Before == Level.None ? "appears"
        : After == Level.None ? "vanishes"
        : After > Before ? "rises"
        : After < Before ? "falls"
        : throw new UnreachableException();
}

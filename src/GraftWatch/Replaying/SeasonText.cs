using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Replaying;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Replaying;

/// <summary>A replayed season as text: a strip of days and hazards, counts by week, first and last days, hours felt, labour and materials.</summary>
internal static class SeasonText
{
    private const int DaysALine = 70;
    private static readonly Hazard?[] Rows = [Hazard.Heat, Hazard.Sun, Hazard.Drying, Hazard.Sap, Hazard.Wind, Hazard.Frost, Hazard.Wet, Hazard.ColdStall, null];
    private static readonly LocalDatePattern Short = LocalDatePattern.CreateWithInvariantCulture("d MMM");

    internal static string Of(SeasonResult season)
    {
        var text = new StringBuilder();
        Strip(text, season.Days);
        Weeks(text, season.Days);
        Kinds(text, season.Days);
        Felt(text, season.Days);
        Labour(text, season.Days);
        return text.ToString();
    }

    /// <summary>Two seasons side by side: which lines come, go and change, and what the unions would have felt.</summary>
    internal static string Compare(SeasonResult first, SeasonResult second, string firstName, string secondName)
    {
        var text = new StringBuilder();
        text.Append(CultureInfo.InvariantCulture, $"A: {firstName}\nB: {secondName}\n\n");
        text.Append("                        A         B     B - A\n");
        Row(text, "lines act or urgent", first, second, days => days.Sum(day => day.Advice.Count(advice => advice.Level >= Level.Act)));
        Row(text, "days with such a line", first, second, days => days.Count(day => day.Advice.Any(advice => advice.Level >= Level.Act)));
        foreach (Hazard? hazard in Rows)
        {
            Row(text, $"  days, {Name(hazard)}", first, second, days => days.Count(day => day.LevelOf(hazard) >= Level.Act));
        }

        Row(text, "hours of work", first, second, days => days.Sum(Minutes) / 60);
        Row(text, "union-hours, heat note", first, second, days => days.Sum(day => day.Felt.HeatNote));
        Row(text, "union-hours, heat act", first, second, days => days.Sum(day => day.Felt.HeatAct));
        Row(text, "union-hours, heat urgent", first, second, days => days.Sum(day => day.Felt.HeatUrgent));
        Row(text, "union-hours, buds < 0 °C", first, second, days => days.Sum(day => day.Felt.FrostHours));
        text.Append("Felt hours of both are held against the levels of A, with the work of each done as assumed.\n\n");
        Changes(text, first, second);
        return text.ToString();
    }

    /// <summary>One line a day and line of work, for spreadsheets.</summary>
    internal static string Csv(SeasonResult season)
    {
        var text = new StringBuilder("date,level,hazard,action,unions,minutes,grafts\n");
        foreach (SeasonDay day in season.Days)
        {
            foreach (Advice advice in day.Advice)
            {
                text.Append(CultureInfo.InvariantCulture, $"{LocalDatePattern.Iso.Format(day.Date)},{LevelName(advice.Level)},{(advice.Hazard is { } hazard ? Name(hazard) : string.Empty)},{advice.Action.Key()},{advice.Unions},{advice.Minutes:0.#},{string.Join(' ', advice.Grafts)}\n");
            }
        }

        return text.ToString();
    }

    internal static string Name(Hazard? hazard) => hazard switch
    {
        null => "dated",
        Hazard.ColdStall => "cold-stall",
        { } known => known.ToString().ToLowerInvariant(),
    };

    internal static string LevelName(Level level) => level.ToString().ToLowerInvariant();

    private static void Strip(StringBuilder text, IReadOnlyList<SeasonDay> days)
    {
        text.Append("One letter a day: . fine  n note  A act  U urgent\n");
        foreach (SeasonDay[] part in days.Chunk(DaysALine))
        {
            var ruler = new char[part.Length + 8];
            Array.Fill(ruler, ' ');
            for (int i = 0; i < part.Length; i++)
            {
                if (part[i].Date.Day == 1 || i == 0)
                {
                    string mark = Short.Format(part[i].Date);
                    mark.CopyTo(0, ruler, i, Math.Min(mark.Length, ruler.Length - i));
                }
            }

            text.Append('\n').Append(' ', 12).Append(new string(ruler).TrimEnd()).Append('\n');
            foreach (Hazard? hazard in Rows)
            {
                text.Append(Name(hazard).PadRight(12)).Append(string.Concat(part.Select(day => Mark(day.LevelOf(hazard))))).Append('\n');
            }
        }
    }

    private static void Weeks(StringBuilder text, IReadOnlyList<SeasonDay> days)
    {
        text.Append("\nLines act or urgent, by week\nweek of     ").Append(string.Concat(Rows.Select(row => Name(row).PadLeft(11)))).Append("      hours\n");
        foreach (IGrouping<LocalDate, SeasonDay> week in days.GroupBy(day => day.Date.Previous(IsoDayOfWeek.Monday).PlusDays(day.Date.DayOfWeek == IsoDayOfWeek.Monday ? 7 : 0)))
        {
            text.Append(LocalDatePattern.Iso.Format(week.Key)).Append("  ");
            foreach (Hazard? row in Rows)
            {
                int count = week.Sum(day => day.Advice.Count(advice => advice.Hazard == row && advice.Level >= Level.Act));
                text.Append((count == 0 ? "." : count.ToString(CultureInfo.InvariantCulture)).PadLeft(11));
            }

            text.Append(CultureInfo.InvariantCulture, $"{week.Sum(Minutes) / 60,11:0.0}\n");
        }
    }

    private static void Kinds(StringBuilder text, IReadOnlyList<SeasonDay> days)
    {
        text.Append("\nDays by level, first and last day with act or urgent\n");
        foreach (Hazard? row in Rows)
        {
            SeasonDay[] pressing = [.. days.Where(day => day.LevelOf(row) >= Level.Act)];
            int notes = days.Count(day => day.LevelOf(row) == Level.Note);
            int urgent = days.Count(day => day.LevelOf(row) == Level.Urgent);
            string span = pressing.Length == 0 ? "never" : $"{LocalDatePattern.Iso.Format(pressing[0].Date)} to {LocalDatePattern.Iso.Format(pressing[^1].Date)}";
            text.Append(CultureInfo.InvariantCulture, $"{Name(row),-12}note {notes,3}  act {pressing.Length - urgent,3}  urgent {urgent,3}   {span}\n");
        }
    }

    private static void Felt(StringBuilder text, IReadOnlyList<SeasonDay> days)
    {
        double warmest = days.Select(day => day.Felt.WarmestC).Where(double.IsFinite).DefaultIfEmpty(double.NaN).Max();
        double coldest = days.Select(day => day.Felt.ColdestC).Where(double.IsFinite).DefaultIfEmpty(double.NaN).Min();
        text.Append("\nWhat the unions felt (hours times unions, under the covers that were on)\n");
        text.Append(CultureInfo.InvariantCulture, $"cambium at or above note {days.Sum(day => day.Felt.HeatNote):0} h, act {days.Sum(day => day.Felt.HeatAct):0} h, urgent {days.Sum(day => day.Felt.HeatUrgent):0} h; warmest {warmest:0.0} °C\n");
        text.Append(CultureInfo.InvariantCulture, $"buds below 0 °C {days.Sum(day => day.Felt.FrostHours):0} h; coldest {coldest:0.0} °C; without a temperature {days.Sum(day => day.Felt.UnknownHours):0} h\n");
    }

    private static void Labour(StringBuilder text, IReadOnlyList<SeasonDay> days)
    {
        Advice[] work = [.. days.SelectMany(day => day.Advice).Where(advice => advice.Level >= Level.Act)];
        text.Append(CultureInfo.InvariantCulture, $"\nWork advised: {days.Sum(Minutes) / 60:0.0} hours in {work.Length} lines\n");
        foreach (IGrouping<WorkAction, Advice> action in work.GroupBy(advice => advice.Action).OrderByDescending(group => group.Sum(advice => advice.Minutes)))
        {
            text.Append(CultureInfo.InvariantCulture, $"  {action.Key.Key(),-16}{action.Count(),4} lines {action.Sum(advice => advice.Unions),6} unions {action.Sum(advice => advice.Minutes) / 60,7:0.0} h\n");
        }

        string[] materials = [.. work.SelectMany(advice => advice.Materials).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal)];
        text.Append(materials.Length == 0 ? string.Empty : $"Materials named: {string.Join("; ", materials)}\n");
    }

    private static void Changes(StringBuilder text, SeasonResult first, SeasonResult second)
    {
        const int most = 60;
        int shown = 0;
        int changes = 0;
        foreach ((SeasonDay a, SeasonDay b) in first.Days.Zip(second.Days))
        {
            foreach (Hazard? row in Rows)
            {
                (Level before, Level after) = (a.LevelOf(row), b.LevelOf(row));
                if (before == after)
                {
                    continue;
                }

                changes++;
                if (shown++ < most)
                {
                    text.Append(CultureInfo.InvariantCulture, $"{LocalDatePattern.Iso.Format(a.Date)}  {Name(row),-11} {Word(before)} -> {Word(after)}\n");
                }
            }
        }

        text.Append(changes == 0 ? "Every letter is the same.\n" : changes > most ? $"and {changes - most} more changes; --csv lists every line.\n" : string.Empty);

        static string Word(Level level) => level == Level.None ? "silent" : LevelName(level);
    }

    private static void Row(StringBuilder text, string name, SeasonResult first, SeasonResult second, Func<IReadOnlyList<SeasonDay>, double> count)
    {
        (double a, double b) = (count(first.Days), count(second.Days));
        text.Append(CultureInfo.InvariantCulture, $"{name,-24}{a,7:0.#}{b,10:0.#}{b - a,10:+0.#;-0.#;0}\n");
    }

    private static double Minutes(SeasonDay day) => day.Advice.Where(advice => advice.Level >= Level.Act).Sum(advice => advice.Minutes);

    private static char Mark(Level level) => level switch
    {
        Level.None => '.',
        Level.Note => 'n',
        Level.Act => 'A',
        Level.Urgent => 'U',
        _ => throw new System.Diagnostics.UnreachableException(),
    };
}

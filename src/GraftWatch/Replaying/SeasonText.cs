using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Explaining;
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
    internal static readonly Hazard?[] Rows = [Hazard.Heat, Hazard.Sun, Hazard.Drying, Hazard.Sap, Hazard.Wind, Hazard.Frost, Hazard.Wet, Hazard.ColdStall, null];
    internal static readonly Level[] Pressing = [Level.Note, Level.Act, Level.Urgent];
    private static readonly LocalDatePattern Short = LocalDatePattern.CreateWithInvariantCulture("d MMM");

    internal const string FrostNote = "Covers laid out for one frosty night are not counted as on: frost hours are those of plants without them.\n";

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

    /// <summary>For spreadsheets: one row for each line of each letter, and one for each day and level that unions felt.</summary>
    internal static string Csv(IReadOnlyList<SeasonResult> seasons)
    {
        var text = new StringBuilder("season,date,row,level,hazard,action,unions,minutes,grafts,felt,unit\n");
        for (int i = 0; i < seasons.Count; i++)
        {
            char season = (char)('A' + i);
            foreach (SeasonDay day in seasons[i].Days)
            {
                string date = LocalDatePattern.Iso.Format(day.Date);
                foreach (Advice advice in day.Advice)
                {
                    text.Append(CultureInfo.InvariantCulture, $"{season},{date},advice,{LevelName(advice.Level)},{(advice.Hazard is { } hazard ? Name(hazard) : string.Empty)},{advice.Action.Key()},{advice.Unions},{advice.Minutes:0.#},{string.Join(' ', advice.Grafts)},,\n");
                }

                foreach (HazardExposure exposure in day.Felt.Hazards)
                {
                    foreach (Level level in Pressing.Where(level => exposure.At(level) > 0))
                    {
                        text.Append(CultureInfo.InvariantCulture, $"{season},{date},felt,{LevelName(level)},{Name(exposure.Hazard)},,,,,{exposure.At(level):0},{UnitOf(exposure)}\n");
                    }
                }
            }
        }

        return text.ToString();
    }

    /// <summary>The exposure to a hazard over days.</summary>
    internal static HazardExposure Sum(IReadOnlyList<SeasonDay> days, Hazard hazard) => new(
        hazard,
        days.Sum(day => day.Felt.Of(hazard).Note),
        days.Sum(day => day.Felt.Of(hazard).Act),
        days.Sum(day => day.Felt.Of(hazard).Urgent),
        days.Sum(day => day.Felt.Of(hazard).Unknown));

    internal static string UnitOf(HazardExposure exposure) => exposure.IsByDay ? "union-days" : "union-hours";

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
        text.Append("\nWhat the unions felt after the work (hours or days times unions, at or beyond each level)\n                note       act    urgent   unknown\n");
        foreach (Hazard hazard in Rows.OfType<Hazard>())
        {
            HazardExposure sum = Sum(days, hazard);
            text.Append(CultureInfo.InvariantCulture, $"{Name(hazard),-10}{sum.Note,10:0}{sum.Act,10:0}{sum.Urgent,10:0}{sum.Unknown,10:0}  {UnitOf(sum)}\n");
        }

        text.Append(CultureInfo.InvariantCulture, $"warmest cambium {warmest:0.0} °C; coldest bud {coldest:0.0} °C, buds below 0 °C {days.Sum(day => day.Felt.FrostHours):0} union-hours\n{FrostNote}");
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

    internal static double Minutes(SeasonDay day) => day.Advice.Where(advice => advice.Level >= Level.Act).Sum(advice => advice.Minutes);

    internal static char Mark(Level level) => level switch
    {
        Level.None => '.',
        Level.Note => 'n',
        Level.Act => 'A',
        Level.Urgent => 'U',
        _ => throw new System.Diagnostics.UnreachableException(),
    };
}

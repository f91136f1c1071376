using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Handbooks;
using GraftWatch.Settings.Quantities;

namespace GraftWatch.Settings.Reference;

/// <summary>Writes docs/thresholds.md from the declarations and the shipped values.</summary>
public static class ThresholdsReference
{
    /// <summary>The document.</summary>
    /// <param name="shipped">The shipped handbook.</param>
    public static string Write(Handbook shipped)
    {
        var text = new StringBuilder();
        text.Append(Introduction);
        foreach (IGrouping<string, SettingDefinition> table in SettingDefinitions.All.GroupBy(d => d.Key[..d.Key.LastIndexOf('.')]))
        {
            AppendTable(text, table.Key, table.ToList(), shipped.Thresholds);
        }

        return text.ToString();
    }

    private static void AppendTable(StringBuilder text, string path, List<SettingDefinition> definitions, ThresholdSet shipped)
    {
        text.Append(CultureInfo.InvariantCulture, $"\n## {path}\n\n");
        if (definitions.FirstOrDefault(d => d.Direction != LevelDirection.None) is { } level)
        {
            text.Append(level.Direction == LevelDirection.Rising
                ? "Danger rises with the number. Raise a level and it is reached later and less often; lower it and it is reached sooner.\n\n"
                : "Danger rises as the number falls. Lower a level and it is reached later and less often; raise it and it is reached sooner.\n\n");
        }

        text.Append("| key | shipped | may be | what it is |\n| --- | --- | --- | --- |\n");
        foreach (SettingDefinition definition in definitions)
        {
            SettingInForce plain = shipped.All[definition.Key].Single(s => s.Scope.Specificity == 0);
            string name = definition.Key[(path.Length + 1)..];
            text.Append(CultureInfo.InvariantCulture, $"| `{name}` | {ThresholdKeys.Show(definition, plain.Value)} | {Range(definition)} | {Cell(definition.Meaning)} |\n");
        }

        string[] sources = definitions.SelectMany(d => shipped.All[d.Key].Where(s => s.Scope.Specificity == 0)).Select(s => s.Source).Where(s => s.Length > 0).Distinct().ToArray();
        text.Append(CultureInfo.InvariantCulture, $"\nSource: {(sources.Length > 0 ? string.Join("; ", sources) : "none given")}.\n");
        AppendExceptions(text, path, definitions, shipped);
    }

    private static void AppendExceptions(StringBuilder text, string path, List<SettingDefinition> definitions, ThresholdSet shipped)
    {
        var exceptions = definitions
            .SelectMany(d => shipped.All[d.Key].Where(s => s.Scope.Specificity > 0).Select(s => (Definition: d, Setting: s)))
            .GroupBy(e => (Scope: ScopeWords.Of(e.Setting.Scope), e.Setting.Source))
            .ToList();
        if (exceptions.Count == 0)
        {
            return;
        }

        text.Append("\n| shipped exception for | values | source |\n| --- | --- | --- |\n");
        foreach (var exception in exceptions)
        {
            string values = string.Join(", ", exception.Select(e => $"`{e.Definition.Key[(path.Length + 1)..]}` {ThresholdKeys.Show(e.Definition, e.Setting.Value)}"));
            text.Append(CultureInfo.InvariantCulture, $"| {exception.Key.Scope} | {values} | {Cell(exception.Key.Source)} |\n");
        }
    }

    private static string Range(SettingDefinition definition)
    {
        if (Quantity.Of(definition.Unit) is null)
        {
            return "the name of a stage";
        }

        return $"{ThresholdKeys.Show(definition, definition.Minimum)} to {ThresholdKeys.Show(definition, definition.Maximum)}";
    }

    private static string Cell(string words) => words.Replace("|", "\\|", StringComparison.Ordinal);

    private const string Introduction = """
        # Thresholds

        When GraftWatch speaks, and when dated work falls due. These are the keys of `thresholds.toml`, the shipped values and what
        each may be. This page is written from the program and the shipped file, and a test keeps it equal to both.

        - Write each value with its unit in quotes: `"32 °C"`, `"90 °F"`, `"10 m/s"`, `"36 km/h"`, `"15 mm"`, `"20 cm"`, `"3 weeks"`,
          `"30 %"`. Where there is no unit (an index, a month, a factor), write a plain number. The decimal mark is a point.
        - A key your file lacks keeps the shipped value.
        - Levels stand in the order note, act, urgent: worth knowing, work is due, work comes first.
        - An exception is a table such as `[[heat.cambium.where]]` with one or more of `species`, `technique`, `stage`, `cover`, `tie`
          and `place`, and the values that change. The exception with the most conditions that fit wins; of equals, the later one.
        - The shipped exceptions of a table apply until your file sets a plain value in that table; from then on it is yours,
          exceptions included.
        - `graftwatch check --effective` prints the value in force for each key and the line it comes from, `--graft LABEL` those of
          one graft.

        Units: a temperature in °C or °F; a temperature difference in K, °C or °F; a speed in m/s, km/h, mph or kn; rain in mm, cm or in;
        a length in m, cm, mm, in or ft; a time in min, h, days, weeks, months (30.44 days) or years; a share bare from 0 to 1 or in %.

        """;
}

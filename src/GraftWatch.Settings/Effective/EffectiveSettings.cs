using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Settings.Handbooks;

namespace GraftWatch.Settings.Effective;

/// <summary>Which value of each threshold is in force, for whom, and which line of which file says so.</summary>
public static class EffectiveSettings
{
    /// <summary>Every value of every threshold, exceptions included, in the order of the reference.</summary>
    public static IReadOnlyList<EffectiveSetting> All(ThresholdSet thresholds) =>
        SettingDefinitions.All.SelectMany(d => thresholds.All[d.Key].Select(s => new EffectiveSetting(d, s))).ToList();

    /// <summary>The one value of every threshold that is in force for a graft.</summary>
    public static IReadOnlyList<EffectiveSetting> For(ThresholdSet thresholds, Subject subject) =>
        SettingDefinitions.All.Select(d => new EffectiveSetting(d, thresholds.Find(d.Key, subject))).ToList();

    /// <summary>The values as a table for a terminal: key, value, for whom, where it stands, source.</summary>
    public static string ToText(IReadOnlyList<EffectiveSetting> settings)
    {
        string[][] rows = settings.Select(s => new[] { s.Key, s.Value, s.ForWhom, s.Where, s.Setting.Source }).ToArray();
        int[] widths = Enumerable.Range(0, 4).Select(i => rows.Length == 0 ? 0 : rows.Max(r => r[i].Length)).ToArray();
        var text = new StringBuilder();
        foreach (string[] row in rows)
        {
            var line = new StringBuilder();
            for (int i = 0; i < widths.Length; i++)
            {
                line.Append(row[i].PadRight(widths[i])).Append("  ");
            }

            text.Append(line.Append(row[4]).ToString().TrimEnd()).Append('\n');
        }

        return text.ToString();
    }
}

/// <summary>One value in force.</summary>
/// <param name="Definition">What it is.</param>
/// <param name="Setting">The value and where it stands.</param>
public sealed record EffectiveSetting(SettingDefinition Definition, SettingInForce Setting)
{
    /// <summary>Dotted key.</summary>
    public string Key => Definition.Key;

    /// <summary>The value with its unit.</summary>
    public string Value => ThresholdKeys.Show(Definition, Setting.Value);

    /// <summary>To whom it applies, in words.</summary>
    public string ForWhom => ScopeWords.Of(Setting.Scope);

    /// <summary>File and line.</summary>
    public string Where => string.Create(CultureInfo.InvariantCulture, $"{Setting.File}:{Setting.Line}");
}

using System.Globalization;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Serving;

/// <summary>The parts of graftwatch.toml that a running program keeps from its start, and what is told when they are edited.</summary>
/// <remarks>The store and its folder, the mail server, the weather services and the listeners are opened once; everything else is read anew at each pass.</remarks>
internal static class KeptFromStart
{
    private const int MostNamed = 4;
    private const string Ending = "; restart graftwatch to use ";

    /// <summary>What is in force while the program runs, once the file has been read again.</summary>
    internal static GraftWatchSettings InForce(GraftWatchSettings started, GraftWatchSettings read) => read with
    {
        DataFolder = started.DataFolder,
        Mail = started.Mail,
        Store = started.Store,
        Weather = started.Weather,
        Page = read.Page with { Listen = started.Page.Listen, TrustedProxies = started.Page.TrustedProxies },
    };

    /// <summary>Which edits wait for a restart, as one sentence without its full stop; null for none.</summary>
    /// <param name="waiting">What the file says and is not in force.</param>
    /// <param name="lineOf">On which line of the file a path stands.</param>
    /// <param name="file">Path of graftwatch.toml.</param>
    internal static string? Sentence(IReadOnlyList<SettingChange> waiting, Func<string, int?> lineOf, string file)
    {
        SettingChange[] named = [.. waiting.OrderBy(change => lineOf(change.Path) ?? int.MaxValue).Take(MostNamed)];
        if (named is [var only])
        {
            string where = lineOf(only.Path) is { } line ? string.Create(CultureInfo.InvariantCulture, $"at line {line} of {file}") : $"in {file}";
            return $"{only.Path} was changed {where}{Ending}it";
        }

        string paths = string.Join(", ", named.Select(change => lineOf(change.Path) is { } line ? string.Create(CultureInfo.InvariantCulture, $"{change.Path} (line {line})") : change.Path));
        string more = waiting.Count > MostNamed ? $" and {waiting.Count - MostNamed} more" : string.Empty;
        return waiting.Count == 0 ? null : $"{paths}{more} were changed in {file}{Ending}them";
    }

    /// <summary>Whether a line is such a sentence about this file.</summary>
    internal static bool IsSentenceOf(string line, string file) => line.Contains(file + Ending, StringComparison.Ordinal);
}

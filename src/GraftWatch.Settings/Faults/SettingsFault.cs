using System.Globalization;

namespace GraftWatch.Settings.Faults;

/// <summary>One thing wrong in a file, with all a person needs to mend it.</summary>
/// <param name="File">File name as it was given.</param>
/// <param name="Line">From 1; 0 when the fault is of the whole file.</param>
/// <param name="Column">From 1, counted in characters; 0 when the fault is of the whole file.</param>
/// <param name="Key">Dotted path of the key, or empty.</param>
/// <param name="Problem">What is wrong: one sentence.</param>
/// <param name="Expected">What would be right: one sentence, or empty.</param>
/// <param name="Example">A line that would be right, or empty.</param>
public sealed record SettingsFault(string File, int Line, int Column, string Key, string Problem, string Expected, string Example)
{
    /// <summary>Whether the file could not be read at all: it may be right, and the next look may find it so.</summary>
    public bool IsUnread { get; init; }

    /// <summary>The fault as one line for a terminal, a log or a letter.</summary>
    public override string ToString()
    {
        string at = Line > 0 ? string.Create(CultureInfo.InvariantCulture, $"{File}:{Line}:{Column}: ") : $"{File}: ";
        string key = Key.Length > 0 ? $"{Key}: " : string.Empty;
        string expected = Expected.Length > 0 ? $" {Expected}" : string.Empty;
        string example = Example.Length > 0 ? $" Example: {Example}" : string.Empty;
        return at + key + Problem + expected + example;
    }
}

namespace GraftWatch.Settings.Faults;

/// <summary>Collects the faults of one file.</summary>
internal sealed class FaultList(string file)
{
    /// <summary>More than this many are counted, not listed: a page pasted into the wrong file is one mistake.</summary>
    internal const int Most = 200;

    private readonly List<SettingsFault> faults = [];
    private readonly HashSet<int> brokenLines = [];
    private int unlisted;
    private int lastReadable = int.MaxValue;

    internal string File { get; } = file;

    internal int Count => faults.Count + unlisted;

    /// <summary>Whether the file's grammar is broken somewhere, so that a key may be missing only because it could not be read.</summary>
    internal bool HasSyntaxFaults => brokenLines.Count > 0;

    internal void Add(int line, int column, string key, string problem, string expected = "", string example = "")
    {
        if (brokenLines.Contains(line) || line > lastReadable)
        {
            return;
        }

        Keep(new SettingsFault(File, line, column, key, problem, expected, example));
    }

    /// <summary>A fault of grammar: one a line, and it silences what the walker would say of the same line.</summary>
    internal void AddSyntax(int line, int column, string problem, string expected = "", string example = "")
    {
        if (brokenLines.Add(line))
        {
            Keep(new SettingsFault(File, line, column, string.Empty, problem, expected, example));
        }
    }

    /// <summary>The file could not be read; nothing else is said of it.</summary>
    internal void AddUnread(string why)
    {
        if (brokenLines.Add(0))
        {
            Keep(new SettingsFault(File, 0, 0, string.Empty, why, string.Empty, string.Empty) { IsUnread = true });
        }
    }

    /// <summary>What stands after this line cannot be told from text; nothing more is said of it.</summary>
    internal void SilenceAfter(int line) => lastReadable = line;

    internal IReadOnlyList<SettingsFault> InFileOrder()
    {
        var ordered = faults.OrderBy(f => f.Line).ThenBy(f => f.Column).ToList();
        if (unlisted > 0)
        {
            ordered.Add(new SettingsFault(File, 0, 0, string.Empty, $"{unlisted} more faults are not listed.", string.Empty, string.Empty));
        }

        return ordered;
    }

    private void Keep(SettingsFault fault)
    {
        if (faults.Count < Most)
        {
            faults.Add(fault with { Key = OneLine(fault.Key), Problem = OneLine(fault.Problem), Expected = OneLine(fault.Expected), Example = OneLine(fault.Example) });
        }
        else
        {
            unlisted++;
        }
    }

    // What was written may hold line breaks and worse; a fault is one line on a terminal.
    private static string OneLine(string words) => words.Any(char.IsControl) ? string.Concat(words.Select(c => char.IsControl(c) ? ' ' : c)) : words;
}

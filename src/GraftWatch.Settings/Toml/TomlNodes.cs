namespace GraftWatch.Settings.Toml;

/// <summary>A value of a file and where it stands; lines and columns from 1.</summary>
internal abstract record TomlNode(int Line, int Column)
{
    /// <summary>The node as a fault names it.</summary>
    internal abstract string Describe();
}

internal sealed record TomlText(string Value, int Line, int Column) : TomlNode(Line, Column)
{
    internal override string Describe() => $"the text \"{(Value.Length > 40 ? Value[..40] + "…" : Value)}\"";
}

internal sealed record TomlNumber(double Value, bool IsInteger, int Line, int Column) : TomlNode(Line, Column)
{
    internal override string Describe() => "the number " + Quantities.Units.Number(Value);
}

internal sealed record TomlFlag(bool Value, int Line, int Column) : TomlNode(Line, Column)
{
    internal override string Describe() => Value ? "true" : "false";
}

/// <summary>A date or time; no key takes one, but a file may hold one by mistake.</summary>
internal sealed record TomlDate(int Line, int Column) : TomlNode(Line, Column)
{
    internal override string Describe() => "a date or time without quotes";
}

internal sealed record TomlList(IReadOnlyList<TomlNode> Items, bool IsTables, int Line, int Column) : TomlNode(Line, Column)
{
    internal override string Describe() => IsTables ? "a list of tables" : "a list";
}

/// <summary>A table with its keys in file order.</summary>
internal sealed record TomlTable(int Line, int Column) : TomlNode(Line, Column)
{
    private readonly List<TomlEntry> entries = [];
    private readonly Dictionary<string, TomlEntry> byKey = new(StringComparer.Ordinal);

    internal IReadOnlyList<TomlEntry> Entries => entries;

    internal TomlEntry? Find(string key) => byKey.GetValueOrDefault(key);

    /// <summary>Adds an entry; the first of two with the same key stays, the parser has reported the other.</summary>
    internal bool TryAdd(TomlEntry entry)
    {
        if (!byKey.TryAdd(entry.Key, entry))
        {
            return false;
        }

        entries.Add(entry);
        return true;
    }

    internal override string Describe() => "a table";
}

internal sealed record TomlEntry(string Key, TomlNode Node, int Line, int Column);

using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Quantities;
using GraftWatch.Settings.Toml;

namespace GraftWatch.Settings.Keys;

/// <summary>Reads the keys of one table against their declarations; every fault goes to the list, and a stand-in value comes back.</summary>
internal sealed class TableReader
{
    private readonly TomlTable table;
    private readonly FaultList faults;
    private readonly int line;
    private readonly int column;

    internal TableReader(TomlTable table, string path, TableSpec spec, FaultList faults)
    {
        this.table = table;
        this.faults = faults;
        Path = path;
        line = table.Line;
        column = table.Column;
        RefuseUnknown(spec);
    }

    internal string Path { get; }

    internal int Line => line;

    internal bool Has(KeySpec spec) => table.Find(spec.Key) is not null;

    /// <summary>Line and column of a key, or of the table when the key is absent.</summary>
    internal (int Line, int Column) Place(KeySpec spec) => table.Find(spec.Key) is { } entry ? (entry.Node.Line, entry.Node.Column) : (line, column);

    internal void Fault(KeySpec spec, string problem, string expected = "")
    {
        (int atLine, int atColumn) = Place(spec);
        faults.Add(atLine, atColumn, Join(Path, spec.Key), problem, expected, spec.ExampleLine);
    }

    internal double Number(KeySpec spec, double otherwise = double.NaN) => Find(spec) is { } node ? Number(spec, node) : otherwise;

    internal int Whole(KeySpec spec, int otherwise = 0)
    {
        switch (Find(spec))
        {
            case null:
                return otherwise;
            case TomlNumber { IsInteger: true } number when number.Value >= spec.Minimum && number.Value <= spec.Maximum:
                return (int)number.Value;
            case var node:
                At(spec, node, $"{Capital(node.Describe())} does not fit.", string.Create(CultureInfo.InvariantCulture, $"Expected a whole number from {spec.Minimum} to {spec.Maximum}, without quotes."));
                return otherwise;
        }
    }

    internal bool Flag(KeySpec spec, bool otherwise = false)
    {
        switch (Find(spec))
        {
            case null:
                return otherwise;
            case TomlFlag flag:
                return flag.Value;
            case var node:
                At(spec, node, $"{Capital(node.Describe())} is neither yes nor no.", "Expected true or false, without quotes.");
                return otherwise;
        }
    }

    internal string Text(KeySpec spec, string otherwise = "") => Find(spec) is { } node ? Text(spec, node) ?? otherwise : otherwise;

    /// <summary>One of the words of the declaration, or <paramref name="otherwise"/>.</summary>
    internal string Word(KeySpec spec, string otherwise = "") =>
        Find(spec) is { } node && Text(spec, node) is { } text ? Known(spec, node, text) ?? otherwise : otherwise;

    internal IReadOnlyList<string> Texts(KeySpec spec)
    {
        switch (Find(spec))
        {
            case null:
                return [];
            case TomlText text:
                return Listed(spec, text) is { } only ? [only] : [];
            case TomlList { IsTables: false, Items.Count: 0 } empty when !spec.MayBeEmpty:
                At(spec, empty, "The list is empty.", spec.Default.Length > 0 ? $"Leave the line out to mean {spec.Default}, or name some." : "Name at least one.");
                return [];
            case TomlList { IsTables: false } list:
                return list.Items.Select(item => Listed(spec, item)).OfType<string>().ToList();
            case var node:
                At(spec, node, $"{Capital(node.Describe())} does not fit.", "Expected a list of texts.");
                return [];
        }
    }

    /// <summary>A list of texts, each with its own meaning; a text without one becomes a fault at its own place.</summary>
    internal IReadOnlyList<T> Texts<T>(KeySpec spec, Func<string, WordReading<T>> read)
        where T : class
    {
        switch (Find(spec))
        {
            case TomlText text:
                return Meaning(spec, text, read) is { } only ? [only] : [];
            case TomlList { IsTables: false, Items.Count: > 0 } list:
                return list.Items.Select(item => Meaning(spec, item, read)).OfType<T>().ToList();
            default:
                _ = Texts(spec);
                return [];
        }
    }

    internal IReadOnlyList<double> Numbers(KeySpec spec)
    {
        switch (Find(spec))
        {
            case null:
                return [];
            case TomlList { IsTables: false } list:
                return list.Items.Select(item => Number(spec, item)).ToList();
            case var node:
                At(spec, node, $"{Capital(node.Describe())} does not fit.", "Expected a list.");
                return [];
        }
    }

    internal TableReader? Section(KeySpec spec)
    {
        switch (Find(spec))
        {
            case null:
                return null;
            case TomlTable inner:
                return new TableReader(inner, Join(Path, spec.Key), spec.Inner!, faults);
            case var node:
                At(spec, node, $"{Capital(node.Describe())} does not fit.", spec.Example.Length > 0 ? "Expected a table in braces." : $"Expected a table [{Join(Path, spec.Key)}].");
                return null;
        }
    }

    internal IReadOnlyList<TableReader> Sections(KeySpec spec)
    {
        switch (Find(spec))
        {
            case null:
                return [];
            case TomlList list when list.Items.All(i => i is TomlTable):
                return list.Items.Cast<TomlTable>().Select((t, i) => new TableReader(t, Numbered(spec, i), spec.Inner!, faults)).ToList();
            case TomlTable single:
                At(spec, single, $"{Join(Path, spec.Key)} is a single table.", $"Write it with two brackets: [[{Join(Path, spec.Key)}]]; there may be several.");
                return [];
            case var node:
                At(spec, node, $"{Capital(node.Describe())} does not fit.", "Expected a list of tables.");
                return [];
        }
    }

    /// <summary>The tables of a table whose names the file chooses.</summary>
    internal IReadOnlyList<NamedTable> NamedSections(KeySpec spec)
    {
        switch (Find(spec))
        {
            case null:
                return [];
            case TomlTable all:
                return all.Entries.Select(entry => Named(spec, entry)).OfType<NamedTable>().ToList();
            case var node:
                At(spec, node, $"{Capital(node.Describe())} does not fit.", $"Expected tables such as {spec.Example}.");
                return [];
        }
    }

    /// <summary>Reads one node as the number a declaration asks for; NaN and a fault when it is none.</summary>
    internal double Number(KeySpec spec, TomlNode node)
    {
        Quantity quantity = spec.Quantity!;
        UnitReading reading;
        switch (node)
        {
            case TomlText text when spec.Named.FirstOrDefault(n => TradeNames.Fold(n.Word) == TradeNames.Fold(text.Value)) is { } named:
                return named.Value;
            case TomlText { Value: [var first, ..] } word when spec.Named.Count > 0 && char.IsAsciiLetter(first):
                At(spec, node, $"'{word.Value}' is not known here.", Nearest(word.Value, spec.Named.Select(n => n.Word).ToList()) + $" Or {quantity.Name} such as {quantity.Example}.");
                return double.NaN;
            case TomlText text:
                reading = Units.Parse(text.Value, quantity);
                break;
            case TomlNumber number:
                reading = Units.ParseBare(number.Value, quantity);
                break;
            default:
                At(spec, node, $"{Capital(node.Describe())} does not fit.", $"Expected {quantity.Name} in quotes.");
                return double.NaN;
        }

        if (reading.Problem is { } problem)
        {
            At(spec, node, Capital(problem.Problem), problem.Expected);
            return double.NaN;
        }

        if (reading.Value < spec.Minimum || reading.Value > spec.Maximum)
        {
            At(spec, node, OutOfRange(spec, node, reading.Value), Range(spec));
            return double.NaN;
        }

        return reading.Value;
    }

    internal static string Join(string path, string key)
    {
        bool plain = key.Length > 0 && key.All(c => char.IsAsciiLetterOrDigit(c) || c is '-' or '_');
        string shown = key.Length > 60 ? key[..60] + "…" : key;
        string part = plain ? shown : "\"" + shown.Replace('\n', ' ').Replace('\r', ' ') + "\"";
        return path.Length == 0 ? part : path + "." + part;
    }

    internal static string Range(KeySpec spec)
    {
        Quantity quantity = spec.Quantity!;
        return double.IsPositiveInfinity(spec.Maximum)
            ? $"Expected at least {Units.Show(spec.Minimum, quantity)}."
            : $"Expected {Units.Show(spec.Minimum, quantity)} to {Units.Show(spec.Maximum, quantity)}.";
    }

    internal static string Capital(string text) => text.Length == 0 || !char.IsAsciiLetterLower(text[0]) ? text : char.ToUpperInvariant(text[0]) + text[1..];

    /// <summary>Ends a sentence about an unknown word with the one probably meant, or with all there are.</summary>
    internal static string Nearest(string written, IReadOnlyCollection<string> known) =>
        NearestName.Of(written, known) is { } near ? $"Nearest known: {near}."
        : known.Count is > 0 and <= 30 ? "Known: " + string.Join(", ", known) + "."
        : string.Empty;

    private NamedTable? Named(KeySpec spec, TomlEntry entry)
    {
        string path = Join(Join(Path, spec.Key), entry.Key);
        bool rightName = entry.Key.Length is > 0 and <= 40 && entry.Key.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c == '-');
        if (entry.Node is not TomlTable inner)
        {
            faults.Add(entry.Node.Line, entry.Node.Column, path, $"{Capital(entry.Node.Describe())} does not fit.", $"Expected a table such as {spec.Example}.");
            return null;
        }

        if (!rightName)
        {
            faults.Add(entry.Line, entry.Column, path, "This name cannot be used in a register.", "Names are small letters, digits and hyphens, at most 40.", spec.Example);
        }

        return new NamedTable(entry.Key, new TableReader(inner, path, spec.Inner!, faults));
    }

    private static string OutOfRange(KeySpec spec, TomlNode node, double value)
    {
        string shown = Units.Show(value, spec.Quantity!);
        string written = node is TomlText text ? text.Value.Trim() : shown;
        return written == shown || written.Length > 40 ? $"{shown} is out of range." : $"{written} is {shown}, out of range.";
    }

    private void RefuseUnknown(TableSpec spec)
    {
        foreach (TomlEntry entry in table.Entries)
        {
            if (!spec.Names.Contains(entry.Key))
            {
                faults.Add(entry.Line, entry.Column, Join(Path, entry.Key), "No such key here.", Nearest(entry.Key, spec.Names.ToList()));
            }
        }
    }

    private TomlNode? Find(KeySpec spec)
    {
        if (table.Find(spec.Key) is { } entry)
        {
            return entry.Node;
        }

        // Where the grammar is broken the key may well be there; one fault is enough.
        if (spec.Required && !faults.HasSyntaxFaults)
        {
            faults.Add(line, column, Join(Path, spec.Key), "This key is missing.", Capital(spec.Meaning), spec.ExampleLine);
        }

        return null;
    }

    private string? Text(KeySpec spec, TomlNode node)
    {
        if (node is not TomlText text)
        {
            At(spec, node, $"{Capital(node.Describe())} does not fit.", "Expected text in quotes.");
            return null;
        }

        if (text.Value.Trim().Length == 0 && !spec.MayBeEmpty)
        {
            At(spec, node, "The text is empty.", Capital(spec.Meaning));
            return null;
        }

        return text.Value.Trim();
    }

    private string? Listed(KeySpec spec, TomlNode node) =>
        Text(spec, node) is not { } text ? null
        : spec.Words.Count == 0 ? text
        : Known(spec, node, text);

    private T? Meaning<T>(KeySpec spec, TomlNode node, Func<string, WordReading<T>> read)
        where T : class
    {
        if (Text(spec, node) is not { } text)
        {
            return null;
        }

        WordReading<T> reading = read(text);
        if (reading.Value is null)
        {
            At(spec, node, reading.Problem, reading.Expected);
        }

        return reading.Value;
    }

    private string? Known(KeySpec spec, TomlNode node, string text)
    {
        foreach (string word in spec.Words)
        {
            if (string.Equals(word, text, StringComparison.OrdinalIgnoreCase))
            {
                return word;
            }
        }

        At(spec, node, $"'{(text.Length > 40 ? text[..40] + "…" : text)}' is not known here.", Nearest(text, spec.Words.ToList()));
        return null;
    }

    private void At(KeySpec spec, TomlNode node, string problem, string expected) =>
        faults.Add(node.Line, node.Column, Join(Path, spec.Key), problem, expected, spec.ExampleLine);

    private string Numbered(KeySpec spec, int index) => Join(Path, spec.Key) + string.Create(CultureInfo.InvariantCulture, $"[{index + 1}]");
}

/// <summary>What a text means, or why it means nothing.</summary>
/// <param name="Value">The meaning; null when there is none.</param>
/// <param name="Problem">Why there is none, a sentence.</param>
/// <param name="Expected">What would have been right, a sentence or empty.</param>
public sealed record WordReading<T>(T? Value, string Problem = "", string Expected = "")
    where T : class;

/// <summary>A table whose name the file chose.</summary>
internal sealed record NamedTable(string Name, TableReader Reader);

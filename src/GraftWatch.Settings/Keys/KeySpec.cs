using GraftWatch.Settings.Quantities;

namespace GraftWatch.Settings.Keys;

/// <summary>What a key holds.</summary>
internal enum KeyKind
{
    Quantity,
    Integer,
    Text,
    Word,
    Flag,
    TextList,
    QuantityList,
    Table,
    TableList,
    NamedTables,
}

/// <summary>One key of a table: what it holds, its limits and its meaning. The reader, the reference and the editors' schema all come from it.</summary>
internal sealed record KeySpec(string Key, KeyKind Kind, string Meaning)
{
    internal Quantity? Quantity { get; private init; }

    internal double Minimum { get; private init; } = double.NegativeInfinity;

    internal double Maximum { get; private init; } = double.PositiveInfinity;

    internal bool Required { get; private init; }

    internal bool MayBeEmpty { get; private init; }

    /// <summary>What is taken when the key is absent, in words; empty when it is required.</summary>
    internal string Default { get; private init; } = string.Empty;

    /// <summary>Words it may hold; empty means any text.</summary>
    internal IReadOnlyList<string> Words { get; private init; } = [];

    /// <summary>Words that stand for a number, beside numbers themselves.</summary>
    internal IReadOnlyList<NamedNumber> Named { get; private init; } = [];

    internal string Example { get; private init; } = string.Empty;

    /// <summary>Keys of the table, or of each table of a list.</summary>
    internal TableSpec? Inner { get; private init; }

    /// <summary>The line a fault shows.</summary>
    internal string ExampleLine => Example.Length == 0 || Kind is KeyKind.TableList or KeyKind.NamedTables ? Example : $"{Key} = {Example}";

    internal static KeySpec Number(string key, Quantity quantity, double minimum, double maximum, string meaning, string? example = null) => new(key, KeyKind.Quantity, meaning)
    {
        Quantity = quantity,
        Minimum = minimum,
        Maximum = maximum,
        Example = example ?? (quantity.BareAllowed && !quantity.Example.Contains('%', StringComparison.Ordinal) ? quantity.Example : $"\"{quantity.Example}\""),
    };

    internal static KeySpec Numbers(string key, Quantity quantity, double minimum, double maximum, string meaning, string example) =>
        new(key, KeyKind.QuantityList, meaning) { Quantity = quantity, Minimum = minimum, Maximum = maximum, Example = example };

    internal static KeySpec Whole(string key, int minimum, int maximum, string meaning, string example) =>
        new(key, KeyKind.Integer, meaning) { Minimum = minimum, Maximum = maximum, Example = example };

    internal static KeySpec OneOf(string key, IReadOnlyList<string> words, string meaning) =>
        new(key, KeyKind.Word, meaning) { Words = words, Example = $"\"{words[0]}\"" };

    internal static KeySpec Line(string key, string meaning, string example) => new(key, KeyKind.Text, meaning) { Example = $"\"{example}\"" };

    internal static KeySpec Lines(string key, string meaning, string example) => new(key, KeyKind.TextList, meaning) { Example = example };

    internal static KeySpec YesNo(string key, string meaning) => new(key, KeyKind.Flag, meaning) { Example = "true" };

    internal static KeySpec Section(string key, TableSpec inner, string meaning, string example = "") => new(key, KeyKind.Table, meaning) { Inner = inner, Example = example };

    internal static KeySpec Sections(string key, TableSpec inner, string meaning, string example = "") => new(key, KeyKind.TableList, meaning) { Inner = inner, Example = example };

    /// <summary>A table of tables whose names the file chooses, such as <c>[cover.foil]</c>.</summary>
    internal static KeySpec NamedSections(string key, TableSpec inner, string meaning, string example) => new(key, KeyKind.NamedTables, meaning) { Inner = inner, Example = example };

    internal KeySpec Or(params NamedNumber[] named) => this with { Named = named, Example = $"\"{named[0].Word}\"" };

    internal KeySpec Among(IReadOnlyList<string> words) => this with { Words = words };

    internal KeySpec AsRequired() => this with { Required = true };

    internal KeySpec OrEmpty() => this with { MayBeEmpty = true };

    internal KeySpec Otherwise(string words) => this with { Default = words };
}

/// <summary>A word and the number it stands for, in the kept unit.</summary>
internal sealed record NamedNumber(string Word, double Value);

/// <summary>The keys of one table, in the order people write them.</summary>
internal sealed record TableSpec(string Name, params KeySpec[] Keys)
{
    internal IEnumerable<string> Names => Keys.Select(k => k.Key);
}

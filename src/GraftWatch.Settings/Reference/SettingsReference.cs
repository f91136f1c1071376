using System.Globalization;
using System.Text;
using GraftWatch.Settings.Handbooks;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Quantities;

namespace GraftWatch.Settings.Reference;

/// <summary>Writes docs/settings.md: the keys of graftwatch.toml, species.toml and materials.toml.</summary>
public static class SettingsReference
{
    /// <summary>The document.</summary>
    public static string Write()
    {
        var text = new StringBuilder(Introduction);
        AppendFile(text, "graftwatch.toml", InstallationKeys.Root);
        AppendFile(text, "species.toml", SpeciesKeys.Root);
        AppendFile(text, "materials.toml", MaterialKeys.Root);
        return text.ToString();
    }

    private static void AppendFile(StringBuilder text, string name, TableSpec root)
    {
        text.Append(CultureInfo.InvariantCulture, $"\n## {name}\n");
        AppendTable(text, string.Empty, root);
    }

    private static void AppendTable(StringBuilder text, string heading, TableSpec table)
    {
        if (heading.Length > 0)
        {
            text.Append(CultureInfo.InvariantCulture, $"\n### {heading}\n");
        }

        KeySpec[] plain = table.Keys.Where(k => k.Inner is null).ToArray();
        KeySpec[] nested = table.Keys.Where(k => k.Inner is not null).ToArray();
        if (plain.Length > 0)
        {
            text.Append("\n| key | what | may be | when left out |\n| --- | --- | --- | --- |\n");
            foreach (KeySpec key in plain)
            {
                text.Append(CultureInfo.InvariantCulture, $"| `{key.Key}` | {Cell(TableReader.Capital(key.Meaning))} | {Cell(MayBe(key))} | {(key.Required ? "a fault" : Cell(key.Default))} |\n");
            }
        }

        foreach (KeySpec key in nested)
        {
            AppendTable(text, Heading(key) + ": " + key.Meaning.TrimEnd('.'), key.Inner!);
        }
    }

    private static string Heading(KeySpec key) => key.Kind switch
    {
        KeyKind.TableList when key.Example.StartsWith("[[", StringComparison.Ordinal) => $"`[[{key.Key}]]`",
        KeyKind.NamedTables => $"`[{key.Key}.NAME]`",
        KeyKind.Table when key.Example.Length > 0 => $"`{key.Key} = {{ … }}`",
        KeyKind.Table => $"`[{key.Key}]`",
        _ => $"`{key.Key} = [{{ … }}]`",
    };

    private static string MayBe(KeySpec key)
    {
        string named = key.Named.Count > 0 ? string.Join(", ", key.Named.Select(n => $"`\"{n.Word}\"` ({Units.Show(n.Value, key.Quantity!)})")) + ", or " : string.Empty;
        return key.Kind switch
        {
            KeyKind.Quantity => $"{named}{Range(key)}, such as `{NumberExample(key)}`",
            KeyKind.QuantityList => $"a list, each {Range(key)}, such as `{key.Example}`",
            KeyKind.Integer => string.Create(CultureInfo.InvariantCulture, $"a whole number from {key.Minimum} to {key.Maximum}"),
            KeyKind.Word => string.Join(", ", key.Words.Select(w => $"`\"{w}\"`")),
            KeyKind.Flag => "`true` or `false`",
            KeyKind.TextList when key.Words.Count > 0 => $"a list of {string.Join(", ", key.Words.Select(w => $"`\"{w}\"`"))}, such as `{key.Example}`",
            KeyKind.TextList => $"a text or a list of texts, such as `{key.Example}`",
            _ => $"text, such as `{key.Example}`",
        };
    }

    private static string NumberExample(KeySpec key) => key.Named.Count > 0 ? $"\"{key.Quantity!.Example}\"" : key.Example;

    private static string Range(KeySpec key) => $"{Units.Show(key.Minimum, key.Quantity!)} to {Units.Show(key.Maximum, key.Quantity!)}";

    private static string Cell(string words) => words.Replace("|", "\\|", StringComparison.Ordinal);

    private const string Introduction = """
        # Settings

        The keys of the files a grower edits, except those of `thresholds.toml`, which have a page of their own. This page is written
        from the program, and a test keeps it equal to it. The shipped files in `config/` explain the same keys where they stand.

        A file with a fault is refused whole; every fault is listed with its line, its column, what was expected and an example. While
        the program runs, the values before the edit stay in force. `graftwatch check` tells before you save the file to its place.

        Values carry their unit in quotes: `"120 m"`, `"390 ft"`, `"-1.5 K"`. The decimal mark is a point. No password belongs into
        these files.

        """;
}

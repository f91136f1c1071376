using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using GraftWatch.Settings.Handbooks;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Quantities;

namespace GraftWatch.Settings.Reference;

/// <summary>Writes JSON schemas (draft 7) of the four files, so that an editor can complete keys and mark faults while one types.</summary>
public static class EditorSchema
{
    private static readonly JsonWriterOptions Options = new() { Indented = true, IndentSize = 1, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping, NewLine = "\n" };

    /// <summary>Schemas by file name, such as <c>thresholds.schema.json</c>.</summary>
    public static IReadOnlyDictionary<string, string> All() => new Dictionary<string, string>
    {
        ["graftwatch.schema.json"] = Schema("graftwatch.toml", InstallationKeys.Root),
        ["species.schema.json"] = Schema("species.toml", SpeciesKeys.Root),
        ["materials.schema.json"] = Schema("materials.toml", MaterialKeys.Root),
        ["thresholds.schema.json"] = Thresholds(),
    };

    private static string Schema(string title, TableSpec root) => Write(title, json => WriteTable(json, root));

    private static string Thresholds() => Write("thresholds.toml", json =>
    {
        ThresholdNode.WriteDefinitions(json);
        ThresholdNode.Tree().Write(json, "#", asException: false);
    });

    private static string Write(string title, Action<Utf8JsonWriter> body)
    {
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream, Options))
        {
            json.WriteStartObject();
            json.WriteString("$schema", "http://json-schema.org/draft-07/schema#");
            json.WriteString("title", title);
            body(json);
            json.WriteEndObject();
        }

        return Encoding.UTF8.GetString(stream.ToArray()) + "\n";
    }

    private static void WriteTable(Utf8JsonWriter json, TableSpec table)
    {
        json.WriteString("type", "object");
        json.WriteBoolean("additionalProperties", false);
        json.WriteStartObject("properties");
        foreach (KeySpec key in table.Keys)
        {
            json.WriteStartObject(key.Key);
            WriteKey(json, key);
            json.WriteEndObject();
        }

        json.WriteEndObject();
        WriteTexts(json, "required", table.Keys.Where(k => k.Required).Select(k => k.Key));
    }

    internal static void WriteKey(Utf8JsonWriter json, KeySpec key)
    {
        json.WriteString("description", TableReader.Capital(key.Meaning) + (key.Default.Length > 0 ? $" Left out: {key.Default}." : string.Empty));
        switch (key.Kind)
        {
            case KeyKind.Quantity:
                WriteQuantity(json, key);
                break;
            case KeyKind.QuantityList:
                WriteList(json, () => WriteQuantity(json, key));
                break;
            case KeyKind.Integer:
                json.WriteString("type", "integer");
                json.WriteNumber("minimum", (int)key.Minimum);
                json.WriteNumber("maximum", (int)key.Maximum);
                break;
            case KeyKind.Text:
                WriteText(json, key);
                break;
            case KeyKind.Word:
                WriteTexts(json, "enum", key.Words);
                break;
            case KeyKind.Flag:
                json.WriteString("type", "boolean");
                break;
            case KeyKind.TextList:
                WriteEither(json, () => WriteText(json, key), () => WriteList(json, () => WriteText(json, key)));
                break;
            case KeyKind.Table:
                WriteTable(json, key.Inner!);
                break;
            case KeyKind.TableList:
                WriteList(json, () => WriteTable(json, key.Inner!));
                break;
            case KeyKind.NamedTables:
                json.WriteString("type", "object");
                json.WriteBoolean("additionalProperties", false);
                json.WriteStartObject("patternProperties");
                json.WriteStartObject("^[a-z0-9-]{1,40}$");
                WriteTable(json, key.Inner!);
                json.WriteEndObject();
                json.WriteEndObject();
                break;
        }
    }

    internal static void WriteTexts(Utf8JsonWriter json, string name, IEnumerable<string> texts)
    {
        string[] all = texts.ToArray();
        if (all.Length == 0)
        {
            return;
        }

        json.WriteStartArray(name);
        foreach (string text in all)
        {
            json.WriteStringValue(text);
        }

        json.WriteEndArray();
    }

    internal static void WriteList(Utf8JsonWriter json, Action item)
    {
        json.WriteString("type", "array");
        json.WriteStartObject("items");
        item();
        json.WriteEndObject();
    }

    internal static void WriteEither(Utf8JsonWriter json, params Action[] choices)
    {
        json.WriteStartArray("anyOf");
        foreach (Action choice in choices)
        {
            json.WriteStartObject();
            choice();
            json.WriteEndObject();
        }

        json.WriteEndArray();
    }

    private static void WriteText(Utf8JsonWriter json, KeySpec key)
    {
        json.WriteString("type", "string");
        WriteTexts(json, "enum", key.Words);
        if (!key.MayBeEmpty && key.Words.Count == 0)
        {
            json.WriteNumber("minLength", 1);
        }
    }

    // A schema cannot convert units, so the range is checked for bare numbers only; the program checks the rest.
    private static void WriteQuantity(Utf8JsonWriter json, KeySpec key)
    {
        Quantity quantity = key.Quantity!;
        var choices = new List<Action>();
        if (quantity.BareAllowed)
        {
            choices.Add(() =>
            {
                json.WriteString("type", "number");
                json.WriteNumber("minimum", key.Minimum);
                json.WriteNumber("maximum", key.Maximum);
            });
        }

        choices.Add(() =>
        {
            json.WriteString("type", "string");
            json.WriteString("pattern", Pattern(quantity));
        });
        if (key.Named.Count > 0)
        {
            choices.Add(() => WriteTexts(json, "enum", key.Named.Select(n => n.Word)));
        }

        if (choices.Count == 1)
        {
            choices[0]();
        }
        else
        {
            WriteEither(json, choices.ToArray());
        }

        if (key.Example.Length > 0)
        {
            json.WriteStartArray("examples");
            json.WriteRawValue(key.Example);
            json.WriteEndArray();
        }
    }

    private static string Pattern(Quantity quantity)
    {
        IEnumerable<string> units = quantity.Units.SelectMany(u => u.Spellings).Where(s => s.Length > 0).Select(Escape);
        string unit = string.Join('|', units);
        string optional = quantity.BareAllowed ? "?" : string.Empty;
        return $"^\\s*[+\u2212-]?[0-9]+(\\.[0-9]+)?([eE][+-]?[0-9]+)?{(unit.Length > 0 ? $"\\s*({unit}){optional}" : string.Empty)}\\s*$";
    }

    private static string Escape(string unit)
    {
        var text = new StringBuilder();
        foreach (char c in unit)
        {
            text.Append(c is '^' or '.' or '*' or '+' or '?' or '(' or ')' or '|' or '$' or '/' ? "\\" + c : c.ToString());
        }

        return text.ToString();
    }
}

using System.Text.Json;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Settings.Handbooks;

namespace GraftWatch.Settings.Reference;

/// <summary>The tables of thresholds.toml as a tree.</summary>
internal sealed class ThresholdNode
{
    private readonly SortedDictionary<int, (string Name, ThresholdNode? Table, SettingDefinition? Value)> children = [];
    private readonly Dictionary<string, int> order = new(StringComparer.Ordinal);

    internal static ThresholdNode Tree()
    {
        var root = new ThresholdNode();
        foreach (SettingDefinition definition in SettingDefinitions.All)
        {
            ThresholdNode at = root;
            string[] parts = definition.Key.Split('.');
            foreach (string part in parts[..^1])
            {
                at = at.Descend(part);
            }

            at.Add(parts[^1], null, definition);
        }

        return root;
    }

    /// <summary>The parts that every exception shares.</summary>
    internal static void WriteDefinitions(Utf8JsonWriter json)
    {
        json.WriteStartObject("definitions");
        json.WriteStartObject(ThresholdsFile.Source);
        json.WriteString("description", "Where the numbers come from.");
        json.WriteString("type", "string");
        json.WriteEndObject();
        foreach (string condition in ScopeReader.Conditions)
        {
            json.WriteStartObject(condition);
            json.WriteString("description", $"The exception applies to grafts of this {condition}, or of one of these.");
            WriteCondition(json, condition);
            json.WriteEndObject();
        }

        json.WriteStartObject("exception");
        EditorSchema.WriteEither(json, ScopeReader.Conditions.Select(c => (Action)(() => EditorSchema.WriteTexts(json, "required", [c]))).ToArray());
        json.WriteEndObject();
        json.WriteEndObject();
    }

    internal void Write(Utf8JsonWriter json, string path, bool asException)
    {
        json.WriteString("type", "object");
        json.WriteBoolean("additionalProperties", false);
        json.WriteStartObject("properties");
        WriteProperties(json, path, asException);
        if (!asException)
        {
            json.WriteStartObject(ThresholdsFile.Where);
            json.WriteString("description", "Exceptions: to whom they apply, and the values that change.");
            EditorSchema.WriteList(json, () => WriteException(json, path));
            json.WriteEndObject();
        }

        json.WriteEndObject();
    }

    private void WriteException(Utf8JsonWriter json, string path)
    {
        json.WriteString("type", "object");
        json.WriteBoolean("additionalProperties", false);
        json.WriteStartObject("properties");
        foreach (string condition in ScopeReader.Conditions.Where(c => !order.ContainsKey(c)))
        {
            Refer(json, condition, "#/definitions/" + condition);
        }

        WriteProperties(json, path, asException: true);
        json.WriteEndObject();
        json.WriteStartArray("allOf");
        json.WriteStartObject();
        json.WriteString("$ref", "#/definitions/exception");
        json.WriteEndObject();
        json.WriteEndArray();
    }

    private static void Refer(Utf8JsonWriter json, string name, string reference)
    {
        json.WriteStartObject(name);
        json.WriteString("$ref", reference);
        json.WriteEndObject();
    }

    // A value inside an exception is described where the value itself is; the file would be ten times as long otherwise.
    private static void WriteValue(Utf8JsonWriter json, SettingDefinition value, string path, bool asException)
    {
        if (asException)
        {
            json.WriteString("$ref", path);
        }
        else
        {
            EditorSchema.WriteKey(json, ThresholdKeys.SpecOf(value));
        }
    }

    private void WriteProperties(Utf8JsonWriter json, string path, bool asException)
    {
        Refer(json, ThresholdsFile.Source, "#/definitions/source");
        foreach ((string name, ThresholdNode? table, SettingDefinition? value) in children.Values)
        {
            json.WriteStartObject(name);
            if (value is not null)
            {
                WriteValue(json, value, path + "/properties/" + name, asException);
            }
            else
            {
                table!.Write(json, path + "/properties/" + name, asException);
            }

            json.WriteEndObject();
        }
    }

    private static void WriteCondition(Utf8JsonWriter json, string condition)
    {
        void Name()
        {
            json.WriteString("type", "string");
            if (condition == "technique")
            {
                EditorSchema.WriteTexts(json, "examples", TradeNames.Techniques);
            }
            else if (condition == "stage")
            {
                EditorSchema.WriteTexts(json, "enum", TradeNames.Stages);
            }
        }

        EditorSchema.WriteEither(json, Name, () => EditorSchema.WriteList(json, Name));
    }

    private ThresholdNode Descend(string name)
    {
        if (order.TryGetValue(name, out int at))
        {
            return children[at].Table!;
        }

        var made = new ThresholdNode();
        Add(name, made, null);
        return made;
    }

    private void Add(string name, ThresholdNode? table, SettingDefinition? value)
    {
        order.Add(name, children.Count);
        children.Add(children.Count, (name, table, value));
    }
}

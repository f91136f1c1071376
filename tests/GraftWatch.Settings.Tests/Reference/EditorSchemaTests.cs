using System.Text.Json;
using System.Text.RegularExpressions;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Reference;
using GraftWatch.Settings.Toml;

namespace GraftWatch.Settings.Tests.Reference;

/// <summary>The schemas must pass what the program takes, and catch what can be caught while one types.</summary>
public sealed class EditorSchemaTests
{
    [Theory]
    [InlineData("graftwatch")]
    [InlineData("species")]
    [InlineData("materials")]
    [InlineData("thresholds")]
    public void The_shipped_file_fits_its_schema(string name) => Assert.Empty(Check(name, Files.Shipped(name + ".toml")));

    [Theory]
    [InlineData("thresholds", "[heat.cambium]\nact = \"38 °C\"\n[[heat.cambium.where]]\nspecies = \"fig\"\nact = \"100 °F\"\n", "")]
    [InlineData("thresholds", "[heat.cambium]\nact = 38", "heat.cambium.act")]
    [InlineData("thresholds", "[heat.cambium]\nact = \"38,5 °C\"", "heat.cambium.act")]
    [InlineData("thresholds", "[heat.cambium]\nact = \"38 K\"", "heat.cambium.act")]
    [InlineData("thresholds", "[heat.cambum]\nact = \"38 °C\"", "heat.cambum")]
    [InlineData("thresholds", "[[heat.cambium.where]]\nact = \"38 °C\"", "heat.cambium.where[0]")]
    [InlineData("thresholds", "[[heat.cambium.where]]\nstage = [\"sett\"]\nact = \"38 °C\"", "heat.cambium.where[0].stage")]
    [InlineData("species", "[species.apple]\nname = \"apple\"", "species.apple")]
    [InlineData("materials", "[seal.Wax]\nname = \"wax\"\npass = 0.05\nsource = \"x\"", "seal.Wax")]
    public void What_the_schema_says_is_what_the_program_says(string name, string text, string path)
    {
        IReadOnlyList<string> found = Check(name, text);

        if (path.Length == 0)
        {
            Assert.Empty(found);
            Assert.True(Files.Thresholds(text).IsValid);
        }
        else
        {
            Assert.Contains(path, found);
        }
    }

    private static List<string> Check(string name, string text)
    {
        var faults = new FaultList(name);
        TomlTable root = TomlFile.Read(text, faults);
        Assert.Equal(0, faults.Count);
        using JsonDocument schema = JsonDocument.Parse(EditorSchema.All()[name + ".schema.json"]);
        var found = new List<string>();
        Check(schema.RootElement, schema.RootElement, root, string.Empty, found);
        return found;
    }

    // The part of JSON Schema draft 7 that the schemas use.
    private static bool Check(JsonElement whole, JsonElement schema, TomlNode node, string path, List<string> found)
    {
        int before = found.Count;
        foreach (JsonProperty rule in schema.EnumerateObject())
        {
            switch (rule.Name)
            {
                case "type" when !IsOfType(node, rule.Value.GetString()!):
                case "enum" when node is not TomlText word || !rule.Value.EnumerateArray().Any(v => v.GetString() == word.Value):
                case "pattern" when node is TomlText text && !Regex.IsMatch(text.Value, rule.Value.GetString()!):
                case "minLength" when node is TomlText { Value.Length: 0 }:
                case "minimum" when node is TomlNumber low && low.Value < rule.Value.GetDouble():
                case "maximum" when node is TomlNumber high && high.Value > rule.Value.GetDouble():
                case "required" when node is TomlTable table && rule.Value.EnumerateArray().Any(k => table.Find(k.GetString()!) is null):
                case "anyOf" when !rule.Value.EnumerateArray().Any(choice => Check(whole, choice, node, path, [])):
                    found.Add(path);
                    break;
                case "allOf":
                    foreach (JsonElement part in rule.Value.EnumerateArray())
                    {
                        Check(whole, part, node, path, found);
                    }

                    break;
                case "$ref":
                    Check(whole, rule.Value.GetString()!.Split('/').Skip(1).Aggregate(whole, (at, name) => at.GetProperty(name)), node, path, found);
                    break;
                case "items" when node is TomlList list:
                    for (int i = 0; i < list.Items.Count; i++)
                    {
                        Check(whole, rule.Value, list.Items[i], $"{path}[{i}]", found);
                    }

                    break;
                case "additionalProperties" when node is TomlTable table:
                    CheckProperties(whole, schema, table, path, found);
                    break;
            }
        }

        return found.Count == before;
    }

    private static void CheckProperties(JsonElement whole, JsonElement schema, TomlTable table, string path, List<string> found)
    {
        foreach (TomlEntry entry in table.Entries)
        {
            string inner = path.Length == 0 ? entry.Key : path + "." + entry.Key;
            if (schema.TryGetProperty("properties", out JsonElement known) && known.TryGetProperty(entry.Key, out JsonElement named))
            {
                Check(whole, named, entry.Node, inner, found);
            }
            else if (schema.TryGetProperty("patternProperties", out JsonElement patterns) && patterns.EnumerateObject().FirstOrDefault(p => Regex.IsMatch(entry.Key, p.Name)) is { Value.ValueKind: JsonValueKind.Object } match)
            {
                Check(whole, match.Value, entry.Node, inner, found);
            }
            else
            {
                found.Add(inner);
            }
        }
    }

    private static bool IsOfType(TomlNode node, string type) => (node, type) switch
    {
        (TomlTable, "object") or (TomlList, "array") or (TomlText, "string") or (TomlFlag, "boolean") or (TomlNumber, "number") or (TomlNumber { IsInteger: true }, "integer") => true,
        _ => false,
    };
}

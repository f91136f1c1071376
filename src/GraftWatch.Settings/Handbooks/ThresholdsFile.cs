using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Toml;

namespace GraftWatch.Settings.Handbooks;

/// <summary>Reads thresholds.toml: plain values at their dotted paths, and <c>[[path.where]]</c> tables that change some of them for some grafts.</summary>
/// <remarks>
/// A key the file lacks keeps the shipped value. The shipped exceptions of a table stay in force until the file sets a plain
/// value in that table or below it; from then on the file's own exceptions are all there are.
/// </remarks>
internal sealed class ThresholdsFile
{
    internal const string Source = "source";
    internal const string Where = "where";

    private readonly FaultList faults;
    private readonly Dictionary<string, SettingDefinition> definitions;
    private readonly HashSet<string> tables = new(StringComparer.Ordinal) { string.Empty };
    private readonly ThresholdSet? shipped;
    private readonly ScopeReader scopes;
    private readonly Dictionary<string, PlacedSetting> plain = new(StringComparer.Ordinal);
    private readonly HashSet<string> unread = new(StringComparer.Ordinal);
    private readonly HashSet<string> written = new(StringComparer.Ordinal);
    private readonly List<PlacedSetting> exceptions = [];
    private readonly List<(string Path, TomlTable Table, string Source)> blocks = [];

    private ThresholdsFile(ThresholdNames names, ThresholdSet? shipped, FaultList faults)
    {
        this.faults = faults;
        this.shipped = shipped;
        scopes = new ScopeReader(names, faults);
        definitions = SettingDefinitions.All.ToDictionary(d => d.Key, StringComparer.Ordinal);
        foreach (string key in definitions.Keys)
        {
            for (int dot = key.LastIndexOf('.'); dot > 0; dot = key.LastIndexOf('.', dot - 1))
            {
                tables.Add(key[..dot]);
            }
        }
    }

    /// <summary>Reads a file over the shipped values, or the shipped file itself when <paramref name="shipped"/> is null.</summary>
    internal static ThresholdSet? Read(TomlTable root, ThresholdNames names, ThresholdSet? shipped, FaultList faults)
    {
        int before = faults.Count;
        var file = new ThresholdsFile(names, shipped, faults);
        file.Walk(root, string.Empty, string.Empty);
        file.ReadBlocks();
        Dictionary<string, IReadOnlyList<PlacedSetting>> merged = file.Merge();
        if (!faults.HasSyntaxFaults)
        {
            LevelOrder.Check(merged, file.unread, faults);
        }

        return faults.Count > before ? null : new ThresholdSet(merged.ToDictionary(m => m.Key, m => (IReadOnlyList<SettingInForce>)m.Value.Select(p => p.Setting).ToList(), StringComparer.Ordinal));
    }

    private void Walk(TomlTable table, string path, string inheritedSource)
    {
        string source = SourceOf(table, path, inheritedSource);
        foreach (TomlEntry entry in table.Entries)
        {
            string key = path.Length == 0 ? entry.Key : path + "." + entry.Key;
            if (definitions.TryGetValue(key, out SettingDefinition? definition))
            {
                written.Add(key);
                if (ReadValue(definition, path, entry) is { } value)
                {
                    plain[key] = Placed(key, value, Scope.Everywhere, entry, source);
                }
            }
            else if (entry.Key == Where && tables.Contains(path))
            {
                TakeBlocks(entry, path, source);
            }
            else if (tables.Contains(key))
            {
                Descend(entry, key, source);
            }
            else if (entry.Key != Source)
            {
                Unknown(entry, path, path, ownWords: [Source, Where]);
            }
        }
    }

    private void Descend(TomlEntry entry, string key, string source)
    {
        if (entry.Node is TomlTable inner)
        {
            Walk(inner, key, source);
        }
        else
        {
            faults.Add(entry.Node.Line, entry.Node.Column, key, $"{TableReader.Capital(entry.Node.Describe())} does not fit: {key} is a table.", $"In it: {string.Join(", ", KeysUnder(key).Take(8))}.", $"[{key}]");
        }
    }

    private string SourceOf(TomlTable table, string path, string inherited)
    {
        switch (table.Find(Source))
        {
            case null:
                return inherited;
            case { Node: TomlText text }:
                return text.Value.Trim();
            case var entry:
                faults.Add(entry.Node.Line, entry.Node.Column, TableReader.Join(path, Source), "A source is text in quotes.", "Say where the numbers come from.", "source = \"common practice\"");
                return inherited;
        }
    }

    private void TakeBlocks(TomlEntry entry, string path, string source)
    {
        if (entry.Node is TomlList list && list.Items.Count > 0 && list.Items.All(i => i is TomlTable))
        {
            blocks.AddRange(list.Items.Cast<TomlTable>().Select(t => (path, t, source)));
        }
        else
        {
            string name = Under(path, Where);
            faults.Add(entry.Node.Line, entry.Node.Column, name, "Exceptions are written as a table with two brackets.", $"Write [[{name}]], then to whom it applies and what changes.", $"[[{name}]]");
        }
    }

    private void ReadBlocks()
    {
        foreach ((string path, TomlTable table, string inherited) in blocks)
        {
            string source = SourceOf(table, Under(path, Where), inherited);
            Scope? scope = scopes.Read(table, Under(path, Where), key => definitions.ContainsKey(Under(path, key)));
            int before = exceptions.Count, faultsBefore = faults.Count;
            WalkBlock(table, path, Under(path, Where), scope, source, isTop: true);
            if (exceptions.Count == before && faults.Count == faultsBefore && scope is not null)
            {
                faults.Add(table.Line, table.Column, Under(path, Where), "This exception changes nothing.", $"Give at least one value to change, such as {string.Join(", ", KeysUnder(path).Take(3).Select(k => path.Length == 0 ? k : k[(path.Length + 1)..]))}.");
            }
        }
    }

    private void WalkBlock(TomlTable table, string path, string shownPath, Scope? scope, string source, bool isTop)
    {
        foreach (TomlEntry entry in table.Entries)
        {
            string key = Under(path, entry.Key);
            if (isTop && (entry.Key == Source || ScopeReader.IsCondition(entry, isLeaf: definitions.ContainsKey(key))))
            {
                continue;
            }

            if (definitions.TryGetValue(key, out SettingDefinition? definition))
            {
                if (ReadValue(definition, shownPath, entry) is not { } value)
                {
                    continue;
                }

                if (scope is null)
                {
                    unread.Add(key);
                    continue;
                }

                exceptions.Add(Placed(key, value, scope, entry, source));
            }
            else if (tables.Contains(key) && entry.Node is TomlTable inner)
            {
                WalkBlock(inner, key, Under(shownPath, entry.Key), scope, source, isTop: false);
            }
            else
            {
                Unknown(entry, path, shownPath, isTop ? [Source, .. ScopeReader.Conditions] : []);
            }
        }
    }

    private double? ReadValue(SettingDefinition definition, string path, TomlEntry entry)
    {
        double? value = ThresholdKeys.Read(definition, path, entry, faults);
        if (value is null)
        {
            unread.Add(definition.Key);
        }

        return value;
    }

    private PlacedSetting Placed(string key, double value, Scope scope, TomlEntry entry, string source) =>
        new(key, new SettingInForce(value, scope, faults.File, entry.Node.Line, source), entry.Node.Column, FromThisFile: true);

    private Dictionary<string, IReadOnlyList<PlacedSetting>> Merge()
    {
        var merged = new Dictionary<string, IReadOnlyList<PlacedSetting>>(StringComparer.Ordinal);
        HashSet<string> owned = OwnedTables();
        foreach (string key in definitions.Keys)
        {
            var values = new List<PlacedSetting>();
            if (plain.TryGetValue(key, out PlacedSetting? own))
            {
                values.Add(own);
            }

            foreach (SettingInForce other in shipped?.All.GetValueOrDefault(key) ?? [])
            {
                bool stays = other.Scope.Specificity == 0 ? own is null : !IsOwned(key, owned);
                if (stays)
                {
                    values.Add(new PlacedSetting(key, other, 1, FromThisFile: false));
                }
            }

            values.AddRange(exceptions.Where(e => e.Key == key));
            if (values.All(v => v.Setting.Scope.Specificity > 0) && !faults.HasSyntaxFaults && !written.Contains(key) && shipped is null)
            {
                faults.Add(1, 1, key, "This key is missing.", definitions[key].Meaning);
            }

            merged.Add(key, values);
        }

        return merged;
    }

    private HashSet<string> OwnedTables() => plain.Keys.Select(k => k[..Math.Max(0, k.LastIndexOf('.'))]).ToHashSet(StringComparer.Ordinal);

    private static bool IsOwned(string key, HashSet<string> owned) => owned.Contains(key[..Math.Max(0, key.LastIndexOf('.'))]);

    private IEnumerable<string> KeysUnder(string path) => definitions.Keys.Where(k => path.Length == 0 || k.StartsWith(path + ".", StringComparison.Ordinal));

    private void Unknown(TomlEntry entry, string path, string shownPath, string[] ownWords)
    {
        int skip = path.Length == 0 ? 0 : path.Length + 1;
        List<string> here = KeysUnder(path).Select(k => k[skip..].Split('.')[0]).Distinct().Concat(ownWords).ToList();
        string expected = TableReader.Nearest(entry.Key, here);
        if (!expected.StartsWith("Nearest", StringComparison.Ordinal) && Aftercare.Trade.NearestName.Of(Under(path, entry.Key), definitions.Keys) is { } elsewhere)
        {
            expected = $"Nearest known: {elsewhere}.";
        }

        faults.Add(entry.Line, entry.Column, TableReader.Join(shownPath, entry.Key), "No such key.", expected);
    }

    private static string Under(string path, string key) => path.Length == 0 ? key : path + "." + key;
}

/// <summary>A value of the file with its column, for faults.</summary>
internal sealed record PlacedSetting(string Key, SettingInForce Setting, int Column, bool FromThisFile);

/// <summary>Names an exception may use.</summary>
/// <param name="Species">Words to species keys, other names included.</param>
/// <param name="Covers">Cover keys.</param>
/// <param name="Ties">Tie keys.</param>
internal sealed record ThresholdNames(IReadOnlyDictionary<string, string> Species, IReadOnlyCollection<string> Covers, IReadOnlyCollection<string> Ties);

using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Toml;

namespace GraftWatch.Settings.Handbooks;

/// <summary>Reads to whom an exception applies.</summary>
internal sealed class ScopeReader(ThresholdNames names, FaultList faults)
{
    private const string Species = "species";
    private const string TechniqueKey = "technique";
    private const string StageKey = "stage";
    private const string Cover = "cover";
    private const string Tie = "tie";
    private const string Place = "place";

    internal static IReadOnlyList<string> Conditions { get; } = [Species, TechniqueKey, StageKey, Cover, Tie, Place];

    /// <summary>Whether an entry of an exception is a condition. Where a setting has the same name, a list is a condition and a single value the setting.</summary>
    internal static bool IsCondition(TomlEntry entry, bool isLeaf) => Conditions.Contains(entry.Key) && (!isLeaf || entry.Node is TomlList);

    /// <summary>The scope of one exception; null, with a fault, when it is everybody or something in it is unknown.</summary>
    internal Scope? Read(TomlTable table, string path, Func<string, bool> isLeaf)
    {
        int before = faults.Count;
        Dictionary<string, List<TomlText>> words = [];
        foreach (TomlEntry entry in table.Entries.Where(e => IsCondition(e, isLeaf(e.Key))))
        {
            words[entry.Key] = Words(entry, path);
        }

        var scope = new Scope
        {
            Species = Keys(words, Species, path, w => names.Species.GetValueOrDefault(TradeNames.Fold(w)), names.Species.Values),
            Techniques = Parsed<Technique>(words, TechniqueKey, path, TradeNames.TryParse, TradeNames.Techniques),
            Stages = Parsed<Stage>(words, StageKey, path, TradeNames.TryParse, TradeNames.Stages),
            Covers = Keys(words, Cover, path, w => names.Covers.FirstOrDefault(c => c == TradeNames.Fold(w)), names.Covers),
            Ties = Keys(words, Tie, path, w => names.Ties.FirstOrDefault(t => t == TradeNames.Fold(w)), names.Ties),
            Places = words.GetValueOrDefault(Place, []).Select(w => w.Value.Trim()).ToList(),
        };
        if (faults.Count > before)
        {
            return null;
        }

        if (scope.Specificity == 0)
        {
            faults.Add(table.Line, table.Column, path, "This exception does not say to whom it applies.", $"Give at least one of {string.Join(", ", Conditions)}.", "species = [\"fig\"]");
            return null;
        }

        return scope;
    }

    private List<TomlText> Words(TomlEntry entry, string path)
    {
        switch (entry.Node)
        {
            case TomlText text:
                return [text];
            case TomlList { Items.Count: > 0 } list when list.Items.All(i => i is TomlText):
                return list.Items.Cast<TomlText>().ToList();
            case TomlList { Items.Count: 0 }:
                faults.Add(entry.Node.Line, entry.Node.Column, TableReader.Join(path, entry.Key), "The list is empty.", "Leave the line out to mean all, or name some.");
                return [];
            default:
                faults.Add(entry.Node.Line, entry.Node.Column, TableReader.Join(path, entry.Key), $"{TableReader.Capital(entry.Node.Describe())} does not fit.", "Expected a list of names.", $"{entry.Key} = [\"…\"]");
                return [];
        }
    }

    private List<string> Keys(Dictionary<string, List<TomlText>> words, string condition, string path, Func<string, string?> find, IEnumerable<string> known)
    {
        var keys = new List<string>();
        foreach (TomlText word in words.GetValueOrDefault(condition, []))
        {
            if (find(word.Value) is { } key)
            {
                keys.Add(key);
            }
            else
            {
                Unknown(word, condition, path, known);
            }
        }

        return keys;
    }

    private delegate bool TryParse<T>(string word, out T value);

    private List<T> Parsed<T>(Dictionary<string, List<TomlText>> words, string condition, string path, TryParse<T> parse, IReadOnlyList<string> known)
    {
        var values = new List<T>();
        foreach (TomlText word in words.GetValueOrDefault(condition, []))
        {
            if (parse(word.Value, out T value))
            {
                values.Add(value);
            }
            else
            {
                Unknown(word, condition, path, known);
            }
        }

        return values;
    }

    private void Unknown(TomlText word, string condition, string path, IEnumerable<string> known)
    {
        string shown = word.Value.Length > 40 ? word.Value[..40] + "…" : word.Value;
        faults.Add(word.Line, word.Column, TableReader.Join(path, condition), $"'{shown}' is not a {condition} known here.", TableReader.Nearest(word.Value, known.Distinct().ToList()));
    }
}

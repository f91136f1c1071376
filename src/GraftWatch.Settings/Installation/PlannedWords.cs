using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Keys;

namespace GraftWatch.Settings.Installation;

/// <summary>Reads a planned grafting as growers write it: <c>apple whip-and-tongue</c>, <c>sweet cherry chip bud at Hill</c>.</summary>
public static class PlannedWords
{
    private const string Form = "Write species and technique, such as \"apple whip-and-tongue\".";
    private const string At = " at ";
    private static readonly char[] Gaps = [' ', '-', '_', '\u00A0', '\t'];

    /// <summary>Reads one plan.</summary>
    /// <param name="text">What was written.</param>
    /// <param name="species">Folded words for species with their keys, as <see cref="SpeciesWords"/> gives them.</param>
    /// <param name="places">Names of the grower's places; the first is meant where the text names none.</param>
    public static WordReading<PlannedGrafting> Read(string text, IReadOnlyDictionary<string, string> species, IReadOnlyList<string> places)
    {
        int at = text.LastIndexOf(At, StringComparison.OrdinalIgnoreCase);
        string what = at < 0 ? text : text[..at];
        string? place = places.Count > 0 ? places[0] : string.Empty;
        if (at >= 0)
        {
            string named = text[(at + At.Length)..].Trim();
            place = places.FirstOrDefault(name => string.Equals(name, named, StringComparison.OrdinalIgnoreCase));
            if (place is null)
            {
                return new(null, $"There is no place named '{Cut(named)}' here.", TableReader.Nearest(named, [.. places]));
            }
        }

        string[] words = what.Split(Gaps, StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        for (int split = 1; split < words.Length; split++)
        {
            if (species.TryGetValue(Joined(words[..split]), out string? key) && TradeNames.TryParse(Joined(words[split..]), out Technique technique))
            {
                return new(new PlannedGrafting(place, key, technique));
            }
        }

        return Problem(words, species);
    }

    // Whichever half is known tells where the other one begins.
    private static WordReading<PlannedGrafting> Problem(string[] words, IReadOnlyDictionary<string, string> species)
    {
        for (int split = words.Length; split > 0; split--)
        {
            if (species.ContainsKey(Joined(words[..split])))
            {
                string rest = Joined(words[split..]);
                return rest.Length == 0
                    ? new(null, $"'{Cut(string.Join(' ', words))}' names no technique.", Form)
                    : new(null, $"'{Cut(rest)}' is not a technique known here.", TableReader.Nearest(rest, [.. TradeNames.Techniques]));
            }
        }

        for (int split = 0; split < words.Length; split++)
        {
            if (TradeNames.TryParse(Joined(words[split..]), out Technique _))
            {
                string start = Joined(words[..split]);
                return start.Length == 0
                    ? new(null, $"'{Cut(string.Join(' ', words))}' names no species.", Form)
                    : new(null, $"'{Cut(start)}' is not a species known here.", Nearest(start, species));
            }
        }

        return words.Length == 0
            ? new(null, "The text is empty.", Form)
            : new(null, $"'{Cut(string.Join(' ', words))}' is neither a species nor a technique known here.", Nearest(words[0], species) is { Length: > 0 } near ? $"{near} {Form}" : Form);
    }

    // Without a near one the answer stays short: species are many.
    private static string Nearest(string written, IReadOnlyDictionary<string, string> species) =>
        NearestName.Of(written, species.Keys) is { } near ? $"Nearest known: {near}." : string.Empty;

    private static string Joined(string[] words) => TradeNames.Fold(string.Join('-', words));

    private static string Cut(string text) => text.Length > 40 ? text[..40] + "…" : text;
}

using GraftWatch.Aftercare.Grafts;

namespace GraftWatch.Aftercare.Trade;

/// <summary>Words by which people name a species.</summary>
public static class SpeciesWords
{
    /// <summary>Every word, folded by <see cref="TradeNames.Fold"/>, with the key of the species it means: keys, names and other names.</summary>
    /// <param name="species">Species of a handbook; no word means two of them.</param>
    public static IReadOnlyDictionary<string, string> Of(IEnumerable<SpeciesTraits> species)
    {
        var words = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (SpeciesTraits traits in species)
        {
            words.TryAdd(TradeNames.Fold(traits.Key), traits.Key);
            words.TryAdd(TradeNames.Fold(traits.Name), traits.Key);
            foreach (string other in traits.AlsoCalled)
            {
                words.TryAdd(TradeNames.Fold(other), traits.Key);
            }
        }

        return words;
    }
}

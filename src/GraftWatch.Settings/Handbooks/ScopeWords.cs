using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Settings.Handbooks;

/// <summary>Says in words to whom a value applies.</summary>
public static class ScopeWords
{
    /// <summary>"species fig, stage set or callus"; "everybody" for a plain value.</summary>
    public static string Of(Scope scope)
    {
        string[] parts =
        [
            .. Part("species", scope.Species),
            .. Part("technique", scope.Techniques.Select(TradeNames.Key).ToList()),
            .. Part("stage", scope.Stages.Select(TradeNames.Key).ToList()),
            .. Part("cover", scope.Covers),
            .. Part("tie", scope.Ties),
            .. Part("place", scope.Places),
        ];
        return parts.Length == 0 ? "everybody" : string.Join(", ", parts);
    }

    private static string[] Part(string name, IReadOnlyList<string> words) => words.Count == 0 ? [] : [name + " " + string.Join(" or ", words)];
}

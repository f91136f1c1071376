using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Pages.Today;

namespace GraftWatch.Pages.Grafts;

/// <summary>Which grafts a list shows.</summary>
/// <param name="Text">Words that all stand in a graft's label, place in the field, species, scion, stock or notes; empty for any.</param>
/// <param name="Block">Block; null for any.</param>
/// <param name="Stage">Stage; null for any.</param>
/// <param name="Due">Kind of work that is due; null for any.</param>
/// <param name="AnyDue">Whether some work must be due.</param>
internal sealed record GraftFilter(string Text = "", string? Block = null, Stage? Stage = null, WorkAction? Due = null, bool AnyDue = false)
{
    /// <summary>The word that asks for any work.</summary>
    internal const string AnyWord = "any";

    /// <summary>Reads the values of an address; what is not known counts as not said.</summary>
    internal static GraftFilter Of(string text, string block, string stage, string due) => new(
        text.Trim(),
        block.Length > 0 ? block : null,
        TradeNames.TryParse(stage, out Stage known) ? known : null,
        Enum.GetValues<WorkAction>().Where(action => action.Key() == due).Select(action => (WorkAction?)action).FirstOrDefault(),
        due == AnyWord);

    /// <summary>The grafts that pass, in the order they came.</summary>
    internal IReadOnlyList<Graft> Apply(IReadOnlyList<Graft> grafts, GrowerDay? day)
    {
        if (this == new GraftFilter())
        {
            return grafts;
        }

        string[] words = Text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        return [.. grafts.Where(graft => Passes(graft, words, day))];
    }

    private bool Passes(Graft graft, string[] words, GrowerDay? day) =>
        (Block is null || graft.Block == Block)
        && (Stage is null || day?.StageOf(graft.Label)?.Stage == Stage)
        && (!AnyDue || (day is not null && day.AdviceOf(graft.Label).Any(line => IsDue(line))))
        && (Due is null || (day is not null && day.AdviceOf(graft.Label).Any(line => line.Action == Due)))
        && Array.TrueForAll(words, word => Holds(graft, word));

    /// <summary>Whether a line is work and not only knowledge.</summary>
    internal static bool IsDue(Advice line) => line.Level >= Level.Act && Rounds.Answering.WorkTraces.IsWork(line.Action);

    private static bool Holds(Graft graft, string word) =>
        Has(graft.Label, word) || Has(graft.Block, word) || Has(graft.Row, word) || Has(graft.Tree, word) || Has(graft.Species, word)
        || Has(graft.Scion, word) || Has(graft.Stock, word) || Has(graft.Notes, word) || Has(graft.Place, word);

    private static bool Has(string text, string word) => CultureInfo.InvariantCulture.CompareInfo.IndexOf(text, word, CompareOptions.IgnoreCase | CompareOptions.IgnoreNonSpace) >= 0;
}

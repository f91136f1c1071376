using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Sentences for dated work; <c>{0}</c> stands for the unions, the others for words that follow their number, see <see cref="PlaceWords.Fill"/>.</summary>
internal static class TaskPhrases
{
    /// <summary>The imperative without place and day.</summary>
    internal static string Imperative(IReadOnlyList<WorkItem> items, Handbook book)
    {
        string[] kinds = [.. items.Select(item => item.Kind).Distinct(StringComparer.Ordinal)];
        string kind = kinds.Length == 1 ? kinds[0] : string.Empty;
        return items[0].Action switch
        {
            WorkAction.Look when kind == "first" => "First look at {0}, hands off: wax cracks, slipped tape, drip, ants, heat in the bag",
            WorkAction.Look when kind == "after-heat" => "After yesterday's heat look at {0}: run wax, cracked film, wilting",
            WorkAction.Look when kind == "after-wind" => "After the wind look at {0}: ties, covers, leaning shoots",
            WorkAction.Look when kind == "after-rain" => "After the rain look at {0}: let water out of bags and from behind tape",
            WorkAction.Look when kind == "after-frost" => "After the frost look at {0}: reseal wax that has cracked",
            WorkAction.Look => "Weekly look at {0}: cracks in the seal, slipped tape, ants; reseal what has opened",
            WorkAction.Vent => "Open the {3} of {0} a finger wide on the shady side",
            WorkAction.CoverOff => "Take the {3} off {0} in steps: two or three days open, two or three with morning sun only, then off on a mild evening",
            WorkAction.Wait when kind.StartsWith("cover-off", StringComparison.Ordinal) => "Leave the {3} on {0} for now",
            WorkAction.Wait => "Do not head back {0} yet",
            WorkAction.FilmOff => "See to the film on {0}: slit it where a bud is held back, renew it where it has cracked",
            WorkAction.SlitTie => $"Slit the {TieNames(kinds, book)} on {{0}} lengthwise, on the side away from {BudOrScion(items)}, and leave {(kinds.Length > 1 ? "them" : "it")} to fall",
            WorkAction.TakeCheck when kind == "bud" => "Check {0} for take: green shield, stub that drops at a touch",
            WorkAction.TakeCheck when kind == "last" => "Decide on {0}: scratch the bark, and record the scion as growing or dead",
            WorkAction.TakeCheck when kind.Length == 0 => "Check {0} for take",
            WorkAction.TakeCheck => "Check {0} for take: swelling buds, bark green under a light scratch",
            WorkAction.RubOff when kind == "nurse" => "Rub off stock shoots below {0}, but keep the nurse buds, pinched at two or three leaves",
            WorkAction.RubOff => "Rub off stock shoots below {0}",
            WorkAction.NurseOff => "Rub off the nurse buds of {0}, half now, half in a week",
            WorkAction.HeadBack => HeadBack(kind),
            WorkAction.ChooseShoot when kind == "stub" => "Choose one leading shoot on {0}; shorten the others, keep them on the stub",
            WorkAction.ChooseShoot => "Choose one shoot on {0} and shorten the others",
            WorkAction.Stake => "Stake the shoots of {0}: soft tie, figure of eight",
            WorkAction.TieIn => "Tie the shoots of {0} to their stakes again, and loosen the lowest tie",
            WorkAction.Pinch => "Tip the shoots of {0}",
            WorkAction.FruitOff => "Take blossoms and fruit off the scions of {0}",
            WorkAction.Pests => "Look over the leaves of {0} for aphids, ants, leaf-rollers and gnawing",
            WorkAction.Weed => "Weed around {0}, an arm's length wide, and mulch, off the stem",
            WorkAction.Feed => "Feed {0} lightly",
            WorkAction.Know when kind == "no-nitrogen" => "No more nitrogen for {0} this year",
            WorkAction.Ripen => "Water {0} a little less until the end buds set",
            WorkAction.Whitewash => "Take remnants of foil and bags off {0} and paint bark that was covered white",
            WorkAction.Guard => Guard(kind),
            WorkAction.SlopeStub => "Cut the dead stubs at {0} slanting, away from the scion, down to live bark, and seal",
            WorkAction.Train => "Prune {0} while dormant and keep the cut wood as back-up scions",
            WorkAction.UnionCheck => "Look closely at {0}" + (kind.Length > 0 ? " " + kind : string.Empty),
            WorkAction.StakeOff => "Take the stakes away at {0} where the union has healed over",
            WorkAction.Release => "Close the record of {0}",
            WorkAction.AirLayer => "If you want copies on their own roots: air-layer a shoot of {0} now",
            WorkAction.Regraft => Regraft(kind),
            WorkAction.Water => "Water the {4} of {0} through",
            WorkAction.Reseal => "Reseal {0}",
            _ => "See to {0}",
        };
    }

    private static string BudOrScion(IReadOnlyList<WorkItem> items) =>
        items.All(item => item.View.Graft.Technique.IsBud()) ? "the bud"
        : items.Any(item => item.View.Graft.Technique.IsBud()) ? "the scion or bud"
        : "the scion";

    private static string HeadBack(string kind) => kind.EndsWith(":unseen", StringComparison.Ordinal)
        ? "Where the bud is green, " + Lower(HeadBackWork(kind[..^":unseen".Length]))
        : HeadBackWork(kind);

    private static string Lower(string text) => char.ToLowerInvariant(text[0]) + text[1..];

    private static string HeadBackWork(string kind) => kind switch
    {
        "summer-bud" => "Cut the stock off above {0}: just above the bud, or leave a hand's breadth as a tie post, and keep two or three stock buds until the scion has grown a finger long",
        "lop" => "Cut the {4} of {0} three quarters through a hand's breadth above the bud, on its side, and bend the top over",
        "bud" => "Head back the {4} of {0} a hand's breadth above the bud, keeping two or three buds as nurses",
        "side-tip" => "Pinch the tips of the {4} of {0}",
        "side-half" => "Head the {4} of {0} back by half",
        "side-all" => "Head the {4} of {0} back to a hand's breadth above the union",
        _ => "Head back the {4} of {0}",
    };

    private static string Guard(string kind) => kind switch
    {
        "mound" => "Whitewash the trunks, guard them against gnawing and mound soil over {0}",
        "mound-off" => "Take the mounds away from {0}",
        _ => "Whitewash and guard the trunks of {0} against winter sun and gnawing",
    };

    private static string Regraft(string kind) => kind switch
    {
        "wood" => "Graft {0} again with stored dormant wood while the bark slips",
        "bud" => "Bud the stock's best shoots at {0} again",
        _ => "Plan to graft {0} again next spring",
    };

    private static string TieNames(string[] kinds, Handbook book) =>
        PlaceWords.List([.. kinds.Select(kind => book.Ties.TryGetValue(kind, out TieMaterial? tie) ? tie.Name : "tie").Order(StringComparer.Ordinal)]);
}

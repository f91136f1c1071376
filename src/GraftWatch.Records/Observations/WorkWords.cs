using GraftWatch.Aftercare.Advising;

namespace GraftWatch.Records.Observations;

/// <summary>The words growers use for work that leaves nothing to be seen at the union and is known by being done alone. What can be seen has its words in <see cref="ObservationWords"/>.</summary>
public static class WorkWords
{
    // The first word of each list is the one the help uses. Common practice, no source.
    private static readonly (WorkAction Action, string[] Words)[] Vocabulary =
    [
        (WorkAction.FrostCover, ["frost cover on", "covered against frost", "fleece on"]),
        (WorkAction.FrostCoverOff, ["frost cover off", "fleece off"]),
        (WorkAction.Pinch, ["pinched", "shoot pinched", "tip pinched"]),
        (WorkAction.Look, ["looked at", "looked", "union looked at"]),
        (WorkAction.FilmOff, ["film open", "film off", "film slit", "film renewed"]),
        (WorkAction.ChooseShoot, ["shoot chosen", "one shoot left"]),
        (WorkAction.FruitOff, ["fruit off", "fruit taken off", "blossoms off"]),
        (WorkAction.TakeCheck, ["take checked"]),
        (WorkAction.Regraft, ["regrafted", "grafted again"]),
        (WorkAction.Pests, ["pests looked for", "no pests", "pests checked"]),
        (WorkAction.Weed, ["weeded", "mulched", "weeded and mulched"]),
        (WorkAction.Feed, ["fed", "manured"]),
        (WorkAction.Ripen, ["left to ripen", "water cut down"]),
        (WorkAction.Whitewash, ["whitewashed", "painted white"]),
        (WorkAction.Guard, ["guarded", "guard on"]),
        (WorkAction.SlopeStub, ["stub sloped", "stub cut"]),
        (WorkAction.Train, ["trained", "pruned"]),
        (WorkAction.UnionCheck, ["union checked"]),
        (WorkAction.StakeOff, ["stake off", "stake removed"]),
        (WorkAction.Release, ["released", "record closed"]),
        (WorkAction.AirLayer, ["air layered"]),
        (WorkAction.NurseOff, ["nurse buds off", "nurse buds rubbed off"]),
    ];

    private static readonly Dictionary<string, WorkAction> ByWords = Vocabulary
        .SelectMany(entry => entry.Words.Select(words => (words, entry.Action)))
        .ToDictionary(pair => pair.words, pair => pair.Action, StringComparer.Ordinal);

    /// <summary>One phrase for each kind of work, for help texts.</summary>
    public static IReadOnlyList<string> Examples { get; } = [.. Vocabulary.Select(entry => entry.Words[0])];

    /// <summary>The work a grower's words say is done; null when they say none of these.</summary>
    public static WorkAction? Find(string words)
    {
        ArgumentNullException.ThrowIfNull(words);
        return ByWords.TryGetValue(ObservationWords.Plain(words), out WorkAction action) ? action : null;
    }
}

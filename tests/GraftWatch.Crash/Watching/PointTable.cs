namespace GraftWatch.Crash.Watching;

/// <summary>The named points at which the program is killed.</summary>
public static class PointTable
{
    private const string SinkPrefix = "mail: ";

    /// <summary>The point in the middle of a weather answer.</summary>
    public const string HalfWeather = "weather: half an answer is read";

    /// <summary>Points on the line to the mail server, where the server kills.</summary>
    public static IReadOnlyList<string> OnTheLine { get; } = [.. Enum.GetValues<SinkStage>().Select(stage => SinkPrefix + stage)];

    // Reached while there is no store yet, in this order.
    private static readonly string[] FirstStart =
    [
        "inside: a migration statement", "before grafts are imported", "inside: a graft is in", "inside: before the commit after a graft is in", "after grafts are imported",
        "inside: a store note is in", "inside: before the commit after a store note is in",
    ];

    // Each has a point before and one after it.
    private static readonly string[] Calls =
    [
        "a letter is handed over",
        "a tally is kept",
        "a tally is loaded",
        "an observation is kept",
        "edited settings are in place",
        "grafts are imported",
        "grafts are loaded",
        "job delivery",
        "job house",
        "job morning",
        "job operator",
        "job settings",
        "job urgent",
        "job weather",
        "kept weather is loaded",
        "letters are claimed",
        "letters in hand are taken back",
        "observations are loaded",
        "the last letter is looked up",
        "the letter is composed",
        "the letter is sealed",
        "the letters of the day are looked up",
        "the note is sealed",
        "the notes of the day are looked up",
        "the number is taken",
        "the receipt is noted",
        "the settings are read",
        "the start is noted",
        "the store is opened",
        "useless letters are given up",
        "waiting letters are counted",
        "weather is kept",
        "what was said is loaded",
        "yesterday's letter is looked up",
    ];

    private static readonly string[] Moments =
    [
        "inside: a migration statement",
        "inside: a graft is in",
        "inside: before the commit after a graft is in",
        "inside: a store note is in",
        "inside: before the commit after a store note is in",
        "before a pass",
        "before the end",
        "before the first pass",
        "inside: a said line is in",
        "inside: an observation is in",
        "inside: before the commit after a said line is in",
        "inside: before the commit after an observation is in",
        "inside: before the commit after anything else",
        "inside: before the commit after the claim is in",
        "inside: before the commit after the start is in",
        "inside: before the commit after the state is in",
        "inside: the claim is in",
        "inside: the letter is in",
        "inside: the number is counted",
        "inside: the start is in",
        "inside: the state is in",
        "inside: the try is in",
    ];

    /// <summary>The points there must be, so that none is lost unseen when the program changes.</summary>
    public static IReadOnlyList<string> Known { get; } = [.. Calls.SelectMany(call => new[] { "before " + call, "after " + call }), .. Moments, HalfWeather, .. OnTheLine];

    /// <summary>Whether a point is only reached while there is no store yet.</summary>
    public static bool IsOfFirstStart(string point) => FirstStart.Contains(point);

    /// <summary>All points, those of a first start first.</summary>
    public static IReadOnlyList<string> InOrder(IEnumerable<string> found) =>
    [
        .. FirstStart.Intersect(found),
        .. found.Except(FirstStart).Order(StringComparer.Ordinal),
        HalfWeather,
        .. OnTheLine,
    ];

    /// <summary>The stage of a point on the line; null for another point.</summary>
    internal static SinkStage? StageOf(string point) =>
        point.StartsWith(SinkPrefix, StringComparison.Ordinal) ? Enum.Parse<SinkStage>(point[SinkPrefix.Length..]) : null;

    /// <summary>Whether a point needs a line that is secured and signed in.</summary>
    internal static bool NeedsSecureLine(string point) => StageOf(point) is SinkStage.StartTls or SinkStage.Secured or SinkStage.SignIn;
}

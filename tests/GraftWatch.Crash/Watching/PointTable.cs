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

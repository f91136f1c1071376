using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>How weather is chosen, joined and judged.</summary>
public sealed record JoinedWeatherOptions
{
    /// <summary>Names of the sources in the order they are tried; empty: all, as registered.</summary>
    public IReadOnlyList<string> Order { get; init; } = [];

    /// <summary>Another order for single places, by name.</summary>
    public IReadOnlyDictionary<string, IReadOnlyList<string>> OrderOfPlace { get; init; } = new Dictionary<string, IReadOnlyList<string>>(StringComparer.Ordinal);

    /// <summary>Name of a second source to hold the first against; null for none.</summary>
    public string? CompareWith { get; init; }

    /// <summary>From which difference on the two are told apart in the letter.</summary>
    public SpreadLimits Apart { get; init; } = new();

    /// <summary>A forecast older than this is used with a warning.</summary>
    public Duration OldAfter { get; init; } = Duration.FromHours(18);

    /// <summary>A forecast older than this is not used at all.</summary>
    public Duration NoneAfter { get; init; } = Duration.FromHours(48);

    /// <summary>A forecast that repeats the kept one to the last digit keeps its age; from this age on the letter says that the service seems to stand still.</summary>
    public Duration FrozenAfter { get; init; } = Duration.FromHours(12);

    /// <summary>All asking for all places together; then the letter goes with what there is.</summary>
    public Duration Deadline { get; init; } = Duration.FromMinutes(4);

    /// <summary>Each refresh waits a random share of this before it asks; zero for a person who waits at the screen. Counts towards the deadline.</summary>
    public Duration SpreadStart { get; init; }

    /// <summary>Holes in the past are asked for again after this time at the earliest.</summary>
    public Duration BackFillEvery { get; init; } = Duration.FromHours(6);
}

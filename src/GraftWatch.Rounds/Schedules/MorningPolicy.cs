using NodaTime;

namespace GraftWatch.Rounds.Schedules;

/// <summary>How the morning is kept.</summary>
public sealed record MorningPolicy
{
    /// <summary>What happens to a letter whose hour passed while nothing ran.</summary>
    public MissedMorning Missed { get; init; } = MissedMorning.MakeOnce;

    /// <summary>Local time from which a morning letter has lost its use: it is neither made nor sent any more, and the next one says so.</summary>
    public LocalTime TooLateTime { get; init; } = new(16, 0);

    /// <summary>A letter is useful at least this long after its hour, whatever <see cref="TooLateTime"/> says: for growers with a late letter hour.</summary>
    public Duration UsefulAtLeast { get; init; } = Duration.FromHours(4);

    /// <summary>Within this time after its hour a letter is not called late.</summary>
    public Duration Punctual { get; init; } = Duration.FromMinutes(10);

    /// <summary>How long after its hour a letter waits for weather that could not be fetched. After that it goes out and says what was not checked.</summary>
    public Duration WeatherPatience { get; init; } = Duration.FromMinutes(30);
}

/// <summary>What happens to a letter whose hour passed while nothing ran.</summary>
public enum MissedMorning
{
    /// <summary>It is made once, as soon as possible, until the too-late hour.</summary>
    MakeOnce = 0,

    /// <summary>It is left out.</summary>
    Skip,
}

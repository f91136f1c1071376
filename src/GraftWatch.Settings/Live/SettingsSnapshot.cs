using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Settings.Live;

/// <summary>The settings in force at one moment, and what is wrong with the files if anything is. Never changes once made.</summary>
public sealed record SettingsSnapshot
{
    /// <summary>Species, materials and thresholds in force.</summary>
    public required Handbook Handbook { get; init; }

    /// <summary>Places, growers and mail in force.</summary>
    public required GraftWatchSettings Installation { get; init; }

    /// <summary>What the last edit that came into force changed.</summary>
    public IReadOnlyList<SettingChange> Changes { get; init; } = [];

    /// <summary>Every fault of the files as they are now; empty when they are in force.</summary>
    public IReadOnlyList<SettingsFault> Refused { get; init; } = [];
}

/// <summary>What became of an edit.</summary>
public enum OutcomeKind
{
    /// <summary>No edit, or one that has not stood still long enough to be judged.</summary>
    Nothing = 0,

    /// <summary>The edit is in force.</summary>
    Accepted,

    /// <summary>The edit is refused; the values before it are in force.</summary>
    Refused,

    /// <summary>A refused edit was taken back; the files are what is in force again.</summary>
    TakenBack,
}

using System.Globalization;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Settings.Live;

/// <summary>The settings in force at one moment, and what is wrong with the files if anything is. Never changes once made.</summary>
public sealed record SettingsSnapshot
{
    /// <summary>Counts changes, from 1.</summary>
    public required long Version { get; init; }

    /// <summary>Species, materials and thresholds in force.</summary>
    public required Handbook Handbook { get; init; }

    /// <summary>Places, growers and mail in force.</summary>
    public required GraftWatchSettings Installation { get; init; }

    /// <summary>When this snapshot was made.</summary>
    public required Instant At { get; init; }

    /// <summary>What led to it.</summary>
    public required OutcomeKind Kind { get; init; }

    /// <summary>What the edit changed, when one was accepted.</summary>
    public IReadOnlyList<SettingChange> Changes { get; init; } = [];

    /// <summary>Which files the values in force come from.</summary>
    public IReadOnlyList<FileOrigin> Origins { get; init; } = [];

    /// <summary>Every fault of the files as they are now; empty when they are in force.</summary>
    public IReadOnlyList<SettingsFault> Refused { get; init; } = [];

    /// <summary>Since when the files have been refused; null when they are in force.</summary>
    public Instant? RefusedSince { get; init; }

    /// <summary>Things that are allowed and probably not meant.</summary>
    public IReadOnlyList<SettingsFault> Warnings { get; init; } = [];

    /// <summary>Whether the files are what is in force.</summary>
    public bool IsHealthy => Refused.Count == 0;

    /// <summary>One sentence for the page, the health check and the next letter; null when all is well.</summary>
    public string? Notice => IsHealthy
        ? null
        : string.Create(
            CultureInfo.InvariantCulture,
            $"The last edit of {string.Join(" and ", Refused.Select(f => Path.GetFileName(f.File)).Distinct())} was refused ({Refused.Count} {(Refused.Count == 1 ? "fault" : "faults")}); the values before it are in force. First: {Shortened(Refused[0])}");

    private static string Shortened(SettingsFault fault) => (fault with { File = Path.GetFileName(fault.File) }).ToString();
}

/// <summary>What became of an edit.</summary>
public enum OutcomeKind
{
    /// <summary>No edit.</summary>
    Nothing = 0,

    /// <summary>The first files.</summary>
    Started,

    /// <summary>The edit is in force.</summary>
    Accepted,

    /// <summary>The edit is refused; the values before it are in force.</summary>
    Refused,

    /// <summary>A refused edit was taken back; the files are what is in force again.</summary>
    TakenBack,
}

using System.Collections.Concurrent;
using GraftWatch.Aftercare.Trade;
using GraftWatch.CommandLine;
using GraftWatch.Serving;
using GraftWatch.Settings;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Checks;

/// <summary>What all checks of one run share.</summary>
internal sealed class CheckScope(Terminal terminal, string folder, CheckSurroundings surroundings)
{
    private readonly ConcurrentQueue<(string Who, Duration Ahead)> clocks = new();

    internal Terminal Terminal => terminal;

    internal CheckSurroundings Surroundings => surroundings;

    /// <summary>Species, materials and thresholds.</summary>
    internal Loaded<Handbook> Handbook { get; } = SettingsLoader.LoadHandbook(folder);

    /// <summary>graftwatch.toml.</summary>
    internal Loaded<GraftWatchSettings> File { get; } = SettingsLoader.LoadGraftWatch(Path.Combine(folder, SettingsLoader.InstallationName));

    /// <summary>The settings as the daemon would have them; only where the files are right.</summary>
    internal ServeSettings Settings => field ??= ServeSettings.From(File.Value!, Handbook.Value!);

    /// <summary>The installation; only where the files are right.</summary>
    internal GraftWatchSettings Installation => File.Value!;

    /// <summary>Whether the files are right.</summary>
    internal bool IsReadable => Handbook.IsValid && File.IsValid;

    /// <summary>Where a letter is to be sent as a proof: null for nowhere, empty for the operator.</summary>
    internal string? SendTo { get; init; }

    /// <summary>Whether serve runs on this store now; null while it is not known.</summary>
    internal bool? IsServing { get; set; }

    /// <summary>What other machines said of the time, and how far this clock is ahead of them.</summary>
    internal IReadOnlyCollection<(string Who, Duration Ahead)> Clocks => clocks;

    internal void NoteClock(string who, Instant theirs) => clocks.Enqueue((who, terminal.Now() - theirs));
}

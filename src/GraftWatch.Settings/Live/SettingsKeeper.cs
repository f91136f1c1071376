using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Settings.Live;

/// <summary>Decides which settings are in force, from what the files hold and the time. No clock and no disk of its own.</summary>
public sealed class SettingsKeeper
{
    private static readonly string[] HandbookNames = ["species.toml", "materials.toml", "thresholds.toml"];
    private static readonly string[] InstallationNames = [SettingsLoader.InstallationName];

    private readonly KeptFiles<Handbook> handbook;
    private readonly KeptFiles<GraftWatchSettings> installation;

    private SettingsKeeper(KeptFiles<Handbook> handbook, KeptFiles<GraftWatchSettings> installation, Instant at)
    {
        this.handbook = handbook;
        this.installation = installation;
        Current = Snapshot(OutcomeKind.Started, [], at, 1);
    }

    /// <summary>The settings in force.</summary>
    public SettingsSnapshot Current { get; private set; }

    /// <summary>Whether an edit has been seen that has not stood still long enough to be judged.</summary>
    public bool IsWaiting => handbook.IsWaiting || installation.IsWaiting;

    /// <summary>Starts with the files as they are; without a keeper, and with every fault, when they are wrong.</summary>
    public static Loaded<SettingsKeeper> Start(FolderBytes first, LiveSettingsOptions options, Instant at)
    {
        Loaded<Handbook> book = LoadHandbook(first);
        Loaded<GraftWatchSettings> settings = LoadInstallation(first);
        IReadOnlyList<FileOrigin> origins = [.. book.Origins, .. settings.Origins];
        if (!book.IsValid || !settings.IsValid)
        {
            return Loaded<SettingsKeeper>.Invalid([.. settings.Faults, .. book.Faults], origins, []);
        }

        var keptBook = new KeptFiles<Handbook>(HandbookNames, LoadHandbook, SettingsDifference.Between, options, first, book);
        var keptSettings = new KeptFiles<GraftWatchSettings>(InstallationNames, LoadInstallation, SettingsDifference.Between, options, first, settings);
        return Loaded<SettingsKeeper>.Valid(new SettingsKeeper(keptBook, keptSettings, at), origins, [.. settings.Warnings, .. book.Warnings]);
    }

    /// <summary>Takes in what the files hold now; true when <see cref="Current"/> is a new snapshot.</summary>
    public bool Observe(FolderBytes now, Instant at)
    {
        Outcome<Handbook> ofBook = handbook.Observe(now, at);
        Outcome<GraftWatchSettings> ofSettings = installation.Observe(now, at);
        OutcomeKind[] kinds = [ofBook.Kind, ofSettings.Kind];
        OutcomeKind kind = new[] { OutcomeKind.Refused, OutcomeKind.Accepted, OutcomeKind.TakenBack }.FirstOrDefault(kinds.Contains);
        if (kind == OutcomeKind.Nothing)
        {
            return false;
        }

        Current = Snapshot(kind, [.. ofSettings.Changes, .. ofBook.Changes], at, Current.Version + 1);
        return true;
    }

    private SettingsSnapshot Snapshot(OutcomeKind kind, IReadOnlyList<SettingChange> changes, Instant at, long version) => new()
    {
        Version = version,
        Handbook = handbook.Value,
        Installation = installation.Value,
        At = at,
        Kind = kind,
        Changes = changes,
        Origins = [.. installation.Origins, .. handbook.Origins],
        Refused = [.. installation.Refused, .. handbook.Refused],
        RefusedSince = Earlier(installation.RefusedSince, handbook.RefusedSince),
        Warnings = [.. installation.Warnings, .. handbook.Warnings, .. SettingsLoader.FindMismatches(handbook.Value, installation.Value)],
    };

    private static Instant? Earlier(Instant? left, Instant? right) => left is { } l && right is { } r ? Instant.Min(l, r) : left ?? right;

    private static Loaded<Handbook> LoadHandbook(FolderBytes files) =>
        SettingsLoader.ReadHandbook(new HandbookFiles(files.Source("species.toml"), files.Source("materials.toml"), files.Source("thresholds.toml")));

    private static Loaded<GraftWatchSettings> LoadInstallation(FolderBytes files)
    {
        SourceText text = files[SettingsLoader.InstallationName] is null
            ? SourceText.FromDisk(Path.Combine(files.Folder, SettingsLoader.InstallationName), SettingsLoader.InstallationName)
            : files.Source(SettingsLoader.InstallationName);
        return SettingsLoader.ReadGraftWatch(text, Path.GetFullPath(files.Folder), files.Source("species.toml"));
    }
}

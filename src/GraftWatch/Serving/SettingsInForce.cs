using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Rounds.Urgent;
using GraftWatch.Settings;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Live;
using NodaTime;

namespace GraftWatch.Serving;

/// <summary>The settings a running program works with. A changed file is read whole, once it has stood still, or not at all; while it is wrong, the old values stay.</summary>
/// <remarks>Readers take <see cref="Current"/> once a pass, so that a pass never sees half of an edit.</remarks>
internal sealed class SettingsInForce
{
    private readonly string folder;
    private readonly SettingsKeeper keeper;
    private readonly GraftWatchSettings started;
    private string seen;
    private bool unread;
    private volatile ServeSettings current;

    private SettingsInForce(string folder, string seen, SettingsKeeper keeper)
    {
        this.folder = folder;
        this.seen = seen;
        this.keeper = keeper;
        started = keeper.Current.Installation;
        current = ServeSettings.From(keeper.Current.Installation, keeper.Current.Handbook);
    }

    /// <summary>The settings of now.</summary>
    internal ServeSettings Current => Refused.Count == 0 ? current : current with
    {
        Morning = current.Morning with
        {
            Notice = $"An edit of the settings was refused; the values of before are in force. {Refused[0]}{(Refused.Count > 1 ? $" (and {Refused.Count - 1} more faults)" : string.Empty)}",
        },
    };

    /// <summary>Faults of an edit that was refused; empty while the files are right.</summary>
    internal IReadOnlyList<string> Refused { get; private set; } = [];

    /// <summary>What the last edit that was taken over changed, one line each.</summary>
    internal IReadOnlyList<string> Changes { get; private set; } = [];

    /// <summary>Which edits are right and wait for a restart, as one sentence without its full stop; null for none.</summary>
    internal string? NeedsRestart { get; private set; }

    /// <summary>Whether the command line said where the pages listen, so that nobody reads page.listen.</summary>
    internal bool ListensAsTold { get; set; }

    /// <summary>Reads the folder for the first time.</summary>
    internal static SettingsInForce? Load(string folder, out IReadOnlyList<string> faults)
    {
        string fingerprint = Fingerprint(folder);
        Loaded<SettingsKeeper> started = SettingsKeeper.Start(FolderBytes.Read(folder), new StandingStill());
        faults = Words(started.Faults);
        return started.IsValid ? new SettingsInForce(folder, fingerprint, started.Value) : null;
    }

    /// <summary>Looks whether the files changed, and takes them over when they are right and have stood still.</summary>
    internal SettingsLook Look(Instant now)
    {
        string fingerprint = Fingerprint(folder);
        if (fingerprint == seen && !unread && !keeper.IsWaiting)
        {
            return SettingsLook.Unchanged;
        }

        // Who may read a file can change without a trace in its length and time.
        seen = fingerprint;
        FolderBytes files = FolderBytes.Read(folder);
        unread = files.IsUnread;
        IReadOnlyList<string> before = Refused;
        switch (keeper.Observe(files, now))
        {
            case OutcomeKind.Refused:
                Refused = Words(keeper.Current.Refused);
                return Refused.SequenceEqual(before, StringComparer.Ordinal) ? SettingsLook.Unchanged : SettingsLook.Refused;
            case OutcomeKind.Accepted or OutcomeKind.TakenBack:
                Refused = [];
                TakeOver();
                return SettingsLook.TakenOver;
            default:
                return keeper.IsWaiting ? SettingsLook.Waiting : SettingsLook.Unchanged;
        }
    }

    private void TakeOver()
    {
        GraftWatchSettings read = keeper.Current.Installation;
        GraftWatchSettings installation = KeptFromStart.InForce(started, read);
        Changes =
        [
            .. Words(SettingsDifference.Between(current.Installation, installation)),
            .. Words(SettingsDifference.Between(current.Morning.Handbook, keeper.Current.Handbook)),
        ];
        SettingChange[] waiting = [.. SettingsDifference.Between(installation, read).Where(change => !(ListensAsTold && change.Path == "page.listen"))];
        NeedsRestart = KeptFromStart.Sentence(waiting, keeper.LineOf, read.File);
        current = ServeSettings.From(installation, keeper.Current.Handbook);
    }

    private static IReadOnlyList<string> Words<T>(IReadOnlyList<T> things)
        where T : notnull => [.. things.Select(thing => thing.ToString()!)];

    private static string Fingerprint(string folder)
    {
        var files = new DirectoryInfo(folder);
        return !files.Exists
            ? string.Empty
            : string.Join('|', files.EnumerateFiles("*.toml").OrderBy(file => file.Name, StringComparer.Ordinal)
                .Select(file => $"{file.Name} {file.Length} {file.LastWriteTimeUtc.Ticks}"));
    }
}

/// <summary>What a look at the files found.</summary>
internal enum SettingsLook
{
    /// <summary>Nothing changed.</summary>
    Unchanged = 0,

    /// <summary>Something changed, most likely just now; look again in a moment.</summary>
    Waiting,

    /// <summary>The new values are in force.</summary>
    TakenOver,

    /// <summary>The files are wrong; the old values stay in force.</summary>
    Refused,
}

/// <summary>One consistent reading of all settings.</summary>
/// <param name="Installation">graftwatch.toml.</param>
/// <param name="Morning">What a morning is run with.</param>
internal sealed record ServeSettings(GraftWatchSettings Installation, MorningSettings Morning)
{
    internal static ServeSettings From(GraftWatchSettings installation, Handbook handbook) => new(
        installation,
        new MorningSettings(
            handbook,
            installation.Places.ToDictionary(place => place.Name, StringComparer.OrdinalIgnoreCase),
            [.. installation.Growers.Select(GrowerOf)],
            new MorningPolicy
            {
                TooLateTime = installation.Letters.TooLate,
                Missed = installation.Letters.SkipMissed ? MissedMorning.Skip : MissedMorning.MakeOnce,
            }));

    internal static Grower GrowerOf(GrowerSettings grower) =>
        new(grower.Name, grower.Address, grower.Zone, grower.LetterTime, grower.Units, grower.Places)
        {
            Planned = grower.Planned,
            Morning = grower.Morning,
            Urgent = grower.Urgent,
            Wishes = new UrgentWishes(grower.UrgentADay, grower.HoldFrom, grower.HoldUntil, grower.FrostPasses),
            Picture = grower.Picture,
            Calendar = grower.Calendar,
        };

    /// <summary>Where the store lies.</summary>
    internal static string StorePath(GraftWatchSettings installation) => Path.Combine(installation.DataFolder, "graftwatch.db");
}

using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Rounds.Urgent;
using GraftWatch.Settings;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Serving;

/// <summary>The settings a running program works with. A changed file is read whole or not at all; while it is wrong, the old values stay.</summary>
/// <remarks>Readers take <see cref="Current"/> once a pass, so that a pass never sees half of an edit.</remarks>
internal sealed class SettingsInForce
{
    private readonly string folder;
    private string seen;
    private bool unread;
    private volatile ServeSettings current;

    private SettingsInForce(string folder, string seen, ServeSettings current)
    {
        this.folder = folder;
        this.seen = seen;
        this.current = current;
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

    /// <summary>Reads the folder for the first time.</summary>
    internal static SettingsInForce? Load(string folder, out IReadOnlyList<string> faults)
    {
        string fingerprint = Fingerprint(folder);
        ServeSettings? settings = Read(folder, out IReadOnlyList<SettingsFault> found);
        faults = Words(found);
        return settings is null ? null : new SettingsInForce(folder, fingerprint, settings);
    }

    /// <summary>Looks whether the files changed, and takes them over when they are right.</summary>
    internal SettingsLook Look()
    {
        string fingerprint = Fingerprint(folder);
        if (fingerprint == seen && !unread)
        {
            return SettingsLook.Unchanged;
        }

        bool isAnotherEdit = fingerprint != seen;
        seen = fingerprint;
        ServeSettings? settings = Read(folder, out IReadOnlyList<SettingsFault> faults);

        // Who may read a file can change without a trace in its length and time.
        unread = faults.Any(fault => fault.IsUnread);
        if (settings is null)
        {
            IReadOnlyList<string> before = Refused;
            Refused = Words(faults);
            return isAnotherEdit || !Refused.SequenceEqual(before, StringComparer.Ordinal) ? SettingsLook.Refused : SettingsLook.Unchanged;
        }

        Refused = [];
        Changes =
        [
            .. SettingsDifference.Between(current.Installation, settings.Installation).Select(change => change.ToString()),
            .. SettingsDifference.Between(current.Morning.Handbook, settings.Morning.Handbook).Select(change => change.ToString()),
        ];
        current = settings;
        return SettingsLook.TakenOver;
    }

    private static IReadOnlyList<string> Words(IReadOnlyList<SettingsFault> faults) => [.. faults.Select(fault => fault.ToString())];

    private static ServeSettings? Read(string folder, out IReadOnlyList<SettingsFault> faults)
    {
        Loaded<Handbook> handbook = SettingsLoader.LoadHandbook(folder);
        Loaded<GraftWatchSettings> installation = SettingsLoader.LoadGraftWatch(Path.Combine(folder, SettingsLoader.InstallationName));
        faults = [.. installation.Faults, .. handbook.Faults];
        return handbook.IsValid && installation.IsValid ? ServeSettings.From(installation.Value, handbook.Value) : null;
    }

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

using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Settings.Live;

/// <summary>
/// Decides which settings are in force, from what the files hold and the time: a right edit comes into force once the files have
/// stood still, a wrong one is refused whole and the values before it stay. No clock and no disk of its own.
/// </summary>
public sealed class SettingsKeeper
{
    private readonly StandingStill still;
    private FolderBytes accepted;
    private FolderBytes? judged;
    private FolderBytes? waiting;
    private Instant waitingSince;

    private SettingsKeeper(FolderBytes first, StandingStill still, SettingsSnapshot current)
    {
        this.still = still;
        accepted = judged = first;
        Current = current;
    }

    /// <summary>The settings in force.</summary>
    public SettingsSnapshot Current { get; private set; }

    /// <summary>Whether an edit has been seen that has not stood still long enough to be judged.</summary>
    public bool IsWaiting => waiting is not null;

    /// <summary>The line of graftwatch.toml on which a value in force stands; null when the file does not say it.</summary>
    /// <param name="path">Its path, such as <c>mail.host</c>.</param>
    public int? LineOf(string path) => accepted.LineOf(path);

    /// <summary>Starts with the files as they are; without a keeper, and with every fault, when they are wrong.</summary>
    public static Loaded<SettingsKeeper> Start(FolderBytes first, StandingStill still)
    {
        ArgumentNullException.ThrowIfNull(first);
        (Loaded<Handbook> handbook, Loaded<GraftWatchSettings> installation) = first.Load();
        IReadOnlyList<FileOrigin> origins = [.. handbook.Origins, .. installation.Origins];
        IReadOnlyList<SettingsFault> warnings = [.. installation.Warnings, .. handbook.Warnings];
        return handbook.IsValid && installation.IsValid
            ? Loaded<SettingsKeeper>.Valid(new SettingsKeeper(first, still, new SettingsSnapshot { Handbook = handbook.Value, Installation = installation.Value }), origins, warnings)
            : Loaded<SettingsKeeper>.Invalid([.. installation.Faults, .. handbook.Faults], origins, warnings);
    }

    /// <summary>Takes in what the files hold now.</summary>
    public OutcomeKind Observe(FolderBytes now, Instant at)
    {
        ArgumentNullException.ThrowIfNull(now);
        if (now.IsUnread)
        {
            // What they hold is not known: whatever it is, it is judged anew once it can be read.
            waiting = judged = null;
            (Loaded<Handbook> handbook, Loaded<GraftWatchSettings> installation) = now.Load();
            return Refuse([.. installation.Faults, .. handbook.Faults]);
        }

        if (judged is not null && now.Same(judged))
        {
            waiting = null;
            return OutcomeKind.Nothing;
        }

        if (now.Same(accepted))
        {
            waiting = null;
            judged = accepted;
            Current = Current with { Changes = [], Refused = [] };
            return OutcomeKind.TakenBack;
        }

        // A clock that went back starts the wait anew.
        if (waiting is null || !now.Same(waiting) || at < waitingSince)
        {
            waiting = now;
            waitingSince = at;
            return OutcomeKind.Nothing;
        }

        string[] gone = [.. now.GoneSince(accepted)];
        if (at - waitingSince < (gone.Length > 0 || now.LooksHalfWritten(accepted) ? still.Unfinished : still.Usual))
        {
            return OutcomeKind.Nothing;
        }

        waiting = null;
        judged = now;
        return gone.Length > 0 ? Refuse([.. gone.Select(name => Gone(now.PathOf(name)))]) : Judge(now);
    }

    // Without it the shipped values would come into force unasked.
    private static SettingsFault Gone(string path) => new(
        path, 0, 0, string.Empty, "The file was here and is gone.", "Put it back; to go back to the shipped values, restart the program.", string.Empty);

    private OutcomeKind Judge(FolderBytes now)
    {
        (Loaded<Handbook> handbook, Loaded<GraftWatchSettings> installation) = now.Load();
        if (!handbook.IsValid || !installation.IsValid)
        {
            return Refuse([.. installation.Faults, .. handbook.Faults]);
        }

        IReadOnlyList<SettingChange> changes =
        [
            .. SettingsDifference.Between(Current.Installation, installation.Value),
            .. SettingsDifference.Between(Current.Handbook, handbook.Value),
        ];
        accepted = now;
        Current = new SettingsSnapshot { Handbook = handbook.Value, Installation = installation.Value, Changes = changes };
        return OutcomeKind.Accepted;
    }

    private OutcomeKind Refuse(IReadOnlyList<SettingsFault> faults)
    {
        Current = Current with { Refused = faults };
        return OutcomeKind.Refused;
    }
}

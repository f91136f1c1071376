using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Faults;
using NodaTime;

namespace GraftWatch.Settings.Live;

/// <summary>
/// Keeps one value that files hold: a right edit takes its place once the files have stood still, a wrong one is refused whole
/// and the value before it stays.
/// </summary>
/// <typeparam name="T">What the files hold.</typeparam>
internal sealed class KeptFiles<T>
    where T : class
{
    private readonly IReadOnlyList<string> names;
    private readonly Func<FolderBytes, Loaded<T>> load;
    private readonly Func<T, T, IReadOnlyList<SettingChange>> difference;
    private readonly LiveSettingsOptions options;
    private FolderBytes accepted;
    private FolderBytes judged;
    private FolderBytes? waiting;
    private Instant waitingSince;

    internal KeptFiles(IReadOnlyList<string> names, Func<FolderBytes, Loaded<T>> load, Func<T, T, IReadOnlyList<SettingChange>> difference, LiveSettingsOptions options, FolderBytes first, Loaded<T> loaded)
    {
        this.names = names;
        this.load = load;
        this.difference = difference;
        this.options = options;
        accepted = judged = first;
        Value = loaded.Value ?? throw new ArgumentException("The first files must be right.", nameof(loaded));
        Origins = loaded.Origins;
        Warnings = loaded.Warnings;
    }

    internal T Value { get; private set; }

    internal IReadOnlyList<FileOrigin> Origins { get; private set; }

    internal IReadOnlyList<SettingsFault> Warnings { get; private set; }

    /// <summary>Faults of the files as they are now; empty when they are in force.</summary>
    internal IReadOnlyList<SettingsFault> Refused { get; private set; } = [];

    internal Instant? RefusedSince { get; private set; }

    /// <summary>Whether an edit has been seen that has not stood still long enough to be judged.</summary>
    internal bool IsWaiting => waiting is not null;

    /// <summary>Takes in what the files hold now.</summary>
    internal Outcome<T> Observe(FolderBytes now, Instant at)
    {
        if (now.Same(judged, names))
        {
            waiting = null;
            return Outcome<T>.Nothing;
        }

        if (now.Same(accepted, names))
        {
            waiting = null;
            judged = accepted;
            Forgive();
            return new Outcome<T>(OutcomeKind.TakenBack, []);
        }

        if (waiting is null || !now.Same(waiting, names))
        {
            waiting = now;
            waitingSince = at;
            return Outcome<T>.Nothing;
        }

        string[] gone = now.GoneSince(accepted, names).ToArray();
        Duration wait = gone.Length > 0 || now.LooksHalfWritten(accepted, names) ? options.LongWait : options.Wait;
        if (at - waitingSince < wait)
        {
            return Outcome<T>.Nothing;
        }

        waiting = null;
        judged = now;
        return gone.Length > 0 ? Refuse(gone.Select(name => Gone(now, name)).ToList(), at) : Judge(now, at);
    }

    private Outcome<T> Judge(FolderBytes now, Instant at)
    {
        Loaded<T> loaded = load(now);
        if (!loaded.IsValid)
        {
            return Refuse(loaded.Faults, at);
        }

        IReadOnlyList<SettingChange> changes = difference(Value, loaded.Value);
        accepted = now;
        Value = loaded.Value;
        Origins = loaded.Origins;
        Warnings = loaded.Warnings;
        Forgive();
        return new Outcome<T>(OutcomeKind.Accepted, changes);
    }

    private Outcome<T> Refuse(IReadOnlyList<SettingsFault> faults, Instant at)
    {
        Refused = faults;
        RefusedSince = at;
        return new Outcome<T>(OutcomeKind.Refused, []);
    }

    private void Forgive()
    {
        Refused = [];
        RefusedSince = null;
    }

    // Without it the shipped values would come into force unasked.
    private static SettingsFault Gone(FolderBytes now, string name) => new(
        Path.Combine(now.Folder, name), 0, 0, string.Empty, "The file was here and is gone.", "Put it back; to go back to the shipped values, restart the program.", string.Empty);
}

/// <summary>What an observation led to.</summary>
internal sealed record Outcome<T>(OutcomeKind Kind, IReadOnlyList<SettingChange> Changes)
{
    internal static Outcome<T> Nothing { get; } = new(OutcomeKind.Nothing, []);
}

using GraftWatch.Settings.Faults;
using NodaTime;

namespace GraftWatch.Settings.Live;

/// <summary>Settings of a folder that follow its files while the program runs.</summary>
/// <remarks>Told of changes by the operating system where it can, and looking by itself every so often where it cannot.</remarks>
public sealed class LiveSettings : IDisposable
{
    private readonly Lock gate = new();
    private readonly string folder;
    private readonly LiveSettingsOptions options;
    private readonly TimeProvider time;
    private readonly SettingsKeeper keeper;
    private readonly FileSystemWatcher? watcher;
    private readonly ITimer soon;
    private readonly ITimer regular;
    private volatile SettingsSnapshot current;

    private LiveSettings(string folder, LiveSettingsOptions options, TimeProvider time, SettingsKeeper keeper)
    {
        this.folder = folder;
        this.options = options;
        this.time = time;
        this.keeper = keeper;
        current = keeper.Current;
        soon = time.CreateTimer(_ => Look(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        regular = time.CreateTimer(_ => Look(), null, options.Look.ToTimeSpan(), options.Look.ToTimeSpan());
        watcher = Watch();
    }

    /// <summary>Told after each new snapshot, on the thread that found it.</summary>
    public event Action<SettingsSnapshot>? Changed;

    /// <summary>The settings in force. Take it once a run, so that the run does not change its mind midway.</summary>
    public SettingsSnapshot Current => current;

    /// <summary>Opens a folder; without live settings, and with every fault, when its files are wrong.</summary>
    public static Loaded<LiveSettings> Open(string folder, LiveSettingsOptions options, TimeProvider time)
    {
        FolderBytes? first = FolderBytes.Read(folder);
        if (first is null)
        {
            var fault = new SettingsFault(folder, 0, 0, string.Empty, "The files of this folder cannot be read.", "Check who may read them.", string.Empty);
            return Loaded<LiveSettings>.Invalid([fault], [], []);
        }

        Loaded<SettingsKeeper> started = SettingsKeeper.Start(first, options, Instant.FromDateTimeOffset(time.GetUtcNow()));
        return started.IsValid
            ? Loaded<LiveSettings>.Valid(new LiveSettings(folder, options, time, started.Value), started.Origins, started.Warnings)
            : Loaded<LiveSettings>.Invalid(started.Faults, started.Origins, started.Warnings);
    }

    /// <summary>Looks at the files now, waits for an edit under way to stand still, and gives what is in force. For the start of a round.</summary>
    public async Task<SettingsSnapshot> SettleAsync(CancellationToken cancellationToken)
    {
        Instant last = Now() + options.LongWait + options.Wait;
        while (Look() && Now() < last)
        {
            await Task.Delay(options.Wait.ToTimeSpan(), time, cancellationToken).ConfigureAwait(false);
        }

        return current;
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        watcher?.Dispose();
        soon.Dispose();
        regular.Dispose();
    }

    // True while an edit is waiting to stand still.
    private bool Look()
    {
        SettingsSnapshot? changed = null;
        bool waiting;
        lock (gate)
        {
            FolderBytes? files = FolderBytes.Read(folder);
            if (files is not null && keeper.Observe(files, Now()))
            {
                changed = current = keeper.Current;
            }

            waiting = files is null || keeper.IsWaiting;
            if (waiting)
            {
                soon.Change(options.Wait.ToTimeSpan(), Timeout.InfiniteTimeSpan);
            }
        }

        if (changed is not null)
        {
            Changed?.Invoke(changed);
        }

        return waiting;
    }

    private FileSystemWatcher? Watch()
    {
        try
        {
            var made = new FileSystemWatcher(folder, "*.toml");
            made.Changed += (_, _) => Soon();
            made.Created += (_, _) => Soon();
            made.Deleted += (_, _) => Soon();
            made.Renamed += (_, _) => Soon();
            made.Error += (_, _) => Soon();
            made.EnableRaisingEvents = true;
            return made;
        }
        catch (Exception none) when (none is IOException or ArgumentException or PlatformNotSupportedException)
        {
            // Out of watches, or a folder that cannot be watched: looking now and then is enough.
            return null;
        }
    }

    private void Soon() => soon.Change(TimeSpan.FromMilliseconds(50), Timeout.InfiniteTimeSpan);

    private Instant Now() => Instant.FromDateTimeOffset(time.GetUtcNow());
}

using System.IO.MemoryMappedFiles;
using NodaTime;

namespace GraftWatch.Crash.Lives;

/// <summary>A clock that stands still until it is moved, in a file that the watcher and the watched program share and that outlives a kill. Timers are real.</summary>
public sealed class SharedClock : TimeProvider, IDisposable
{
    private readonly MemoryMappedFile file;
    private readonly MemoryMappedViewAccessor view;
    private readonly Duration ahead;

    /// <summary>Opens the clock.</summary>
    /// <param name="path">The file; made when it is not there.</param>
    /// <param name="ahead">How much this reader's clock is ahead of the true one.</param>
    public SharedClock(string path, Duration ahead = default)
    {
        this.ahead = ahead;
        file = MemoryMappedFile.CreateFromFile(path, FileMode.OpenOrCreate, null, 8);
        view = file.CreateViewAccessor(0, 8);
    }

    /// <summary>The true simulated time.</summary>
    public Instant True
    {
        get => Instant.FromUnixTimeTicks(view.ReadInt64(0));
        set => view.Write(0, value.ToUnixTimeTicks());
    }

    /// <inheritdoc/>
    public override DateTimeOffset GetUtcNow() => (True + ahead).ToDateTimeOffset();

    /// <inheritdoc/>
    public void Dispose()
    {
        view.Dispose();
        file.Dispose();
    }
}

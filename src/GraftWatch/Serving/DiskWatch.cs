using GraftWatch.Records;
using GraftWatch.Records.Inspection;
using NodaTime;

namespace GraftWatch.Serving;

/// <summary>Looks whether the disk has room for the next day, and notes it where the operator sees it.</summary>
internal sealed class DiskWatch(RecordsStore store, SettingsInForce settings, ServeState state)
{
    // The operator is looked after every minute; counting a day of letters is for once an hour.
    private static readonly Duration CountedLasts = Duration.FromHours(1);
    private volatile Counted? counted;

    internal async Task LookAsync(Instant now, CancellationToken cancellationToken)
    {
        string folder = settings.Current.Installation.DataFolder;
        long size = 0, letters = 0;
        if (store is SqliteStore file)
        {
            folder = Path.GetDirectoryName(file.Path)!;
            letters = await LettersAsync(now, cancellationToken).ConfigureAwait(false);
            size = new FileInfo(file.Path).Length;
        }

        state.Installation("disk", Trouble(folder, size, letters));
    }

    private async Task<long> LettersAsync(Instant now, CancellationToken cancellationToken)
    {
        if (counted is { } known && now >= known.At && now - known.At < CountedLasts)
        {
            return known.Bytes;
        }

        long bytes = await store.Figures.LoadBytesSinceAsync(now - Duration.FromDays(1), cancellationToken).ConfigureAwait(false);
        counted = new Counted(now, bytes);
        return bytes;
    }

    private static string? Trouble(string folder, long storeBytes, long letterBytes)
    {
        try
        {
            return DiskRoom.Of(folder, storeBytes, letterBytes, DiskFacts.OfSystem).Trouble(folder);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            return $"the disk of {folder} cannot be looked at: {e.Message}";
        }
    }

    private sealed record Counted(Instant At, long Bytes);
}

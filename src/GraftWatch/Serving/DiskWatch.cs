using GraftWatch.Records;
using GraftWatch.Records.Inspection;
using NodaTime;

namespace GraftWatch.Serving;

/// <summary>Looks whether the disk has room for the next day, and notes it where the operator sees it.</summary>
internal sealed class DiskWatch(RecordsStore store, SettingsInForce settings, ServeState state)
{
    internal async Task LookAsync(Instant now, CancellationToken cancellationToken)
    {
        string folder = settings.Current.Installation.DataFolder;
        long size = 0, letters = 0;
        if (store is SqliteStore file)
        {
            folder = Path.GetDirectoryName(file.Path)!;
            letters = await store.Figures.LoadBytesSinceAsync(now - Duration.FromDays(1), cancellationToken).ConfigureAwait(false);
            size = new FileInfo(file.Path).Length;
        }

        state.Installation("disk", Trouble(folder, size, letters));
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
}

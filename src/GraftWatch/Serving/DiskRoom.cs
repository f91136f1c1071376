using System.Globalization;

namespace GraftWatch.Serving;

/// <summary>Room on the disk of the store against what tomorrow may need.</summary>
/// <param name="FreeBytes">Free for this program.</param>
/// <param name="NeededBytes">What a day may need.</param>
internal readonly record struct DiskRoom(long FreeBytes, long NeededBytes)
{
    private const long AtLeast = 64L << 20;
    private const double Margin = 1.5;

    /// <summary>A sentence when there is too little; null when there is enough.</summary>
    internal string? Trouble => FreeBytes < NeededBytes
        ? string.Create(CultureInfo.InvariantCulture, $"the disk of the store has {FreeBytes >> 20} MiB left and a day may need {NeededBytes >> 20} MiB: free some, or letters will stop")
        : null;

    /// <summary>Looks.</summary>
    /// <param name="store">Path of the store.</param>
    /// <param name="letterBytesADay">Bytes of the letters of the last day.</param>
    internal static DiskRoom Of(string store, long letterBytesADay)
    {
        // Letters are written twice, into the journal and into the file; the copy of the night needs the file once more.
        long day = (2 * letterBytesADay) + new FileInfo(store).Length;
        return new DiskRoom(new DriveInfo(Path.GetDirectoryName(store)!).AvailableFreeSpace, Needed(day));
    }

    /// <summary>The rule: half as much again as a day takes, and never less than 64 MiB.</summary>
    internal static long Needed(long dayBytes) => Math.Max(AtLeast, (long)(dayBytes * Margin));
}

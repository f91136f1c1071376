using System.Globalization;
using GraftWatch.Records.Inspection;

namespace GraftWatch.Serving;

/// <summary>How much room a file store needs until tomorrow: a shortage that can be foreseen is told before it comes.</summary>
internal static class StoreRoom
{
    private const long MiB = 1 << 20;
    private const long Least = 64 * MiB;
    private const long AGrower = MiB;

    /// <summary>Room that may be needed. [bytes]</summary>
    /// <remarks>Tomorrow's copy is made beside the last and compared before it takes its place; letters and weather come on top.</remarks>
    internal static long NeedBytes(long storeBytes, int growers) => Least + (2 * storeBytes) + (AGrower * growers);

    /// <summary>A sentence where the disk has less than that; else empty.</summary>
    internal static string Trouble(string store, int growers, DiskFacts disk)
    {
        long need = NeedBytes(new FileInfo(store).Length, growers), free = disk.FreeBytesOf(Path.GetDirectoryName(store)!);
        return free >= need ? string.Empty : $"The disk of {store} has {Size(free)} free; until tomorrow {Size(need)} may be needed. Make room.";
    }

    /// <summary>A size in words.</summary>
    internal static string Size(long bytes) => bytes switch
    {
        >= 1024 * MiB => string.Create(CultureInfo.InvariantCulture, $"{bytes / (1024.0 * MiB):0.0} GiB"),
        >= MiB => string.Create(CultureInfo.InvariantCulture, $"{bytes / (double)MiB:0} MiB"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{bytes / 1024} KiB"),
    };
}

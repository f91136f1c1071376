using System.Globalization;
using GraftWatch.Records.Inspection;

namespace GraftWatch.Serving;

/// <summary>Room on a disk against what the next day may need: a shortage that can be foreseen is told before it comes.</summary>
/// <param name="FreeBytes">Free for this program.</param>
/// <param name="NeededBytes">What a day may need.</param>
internal readonly record struct DiskRoom(long FreeBytes, long NeededBytes)
{
    private const long MiB = 1 << 20;
    private const long AtLeast = 64 * MiB;
    private const double Margin = 1.5;

    /// <summary>Whether there is enough.</summary>
    internal bool IsEnough => FreeBytes >= NeededBytes;

    /// <summary>A sentence when there is too little; null when there is enough.</summary>
    /// <param name="folder">The folder that lies on the disk.</param>
    internal string? Trouble(string folder) => IsEnough ? null : $"the disk of {folder} has {Size(FreeBytes)} left and a day may need {Size(NeededBytes)}: free some, or letters will stop";

    /// <summary>Looks at the disk a folder lies on.</summary>
    /// <param name="folder">The folder, which may not be there yet.</param>
    /// <param name="storeBytes">Size of a store that lies in it; 0 where it lies elsewhere.</param>
    /// <param name="letterBytesADay">Bytes of the letters of the last day; 0 where the store lies elsewhere.</param>
    /// <param name="disk">What is known of the disk.</param>
    internal static DiskRoom Of(string folder, long storeBytes, long letterBytesADay, DiskFacts disk) =>
        new(disk.FreeBytesOf(DiskFacts.Existing(folder)), Needed(storeBytes, letterBytesADay));

    /// <summary>The rule: half as much again as a day takes, and never less than 64 MiB.</summary>
    /// <remarks>Letters are written twice, into the journal and into the file; the copy of the night needs the file once more, beside the copies before it.</remarks>
    internal static long Needed(long storeBytes, long letterBytesADay) => Math.Max(AtLeast, (long)((storeBytes + (2 * letterBytesADay)) * Margin));

    /// <summary>A size in words.</summary>
    internal static string Size(long bytes) => bytes switch
    {
        >= 1024 * MiB => string.Create(CultureInfo.InvariantCulture, $"{bytes / (1024.0 * MiB):0.0} GiB"),
        >= MiB => string.Create(CultureInfo.InvariantCulture, $"{bytes / (double)MiB:0} MiB"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{bytes / 1024} KiB"),
    };
}

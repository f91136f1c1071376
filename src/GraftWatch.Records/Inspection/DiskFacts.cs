namespace GraftWatch.Records.Inspection;

/// <summary>What is asked of the disk a store lies on; a test brings its own answers.</summary>
/// <param name="KindOf">Kind of file system of an existing folder, such as <c>ext4</c> or <c>nfs</c>.</param>
/// <param name="FreeBytesOf">Room an unprivileged program may still use there. [bytes]</param>
public sealed record DiskFacts(Func<string, string> KindOf, Func<string, long> FreeBytesOf)
{
    /// <summary>The answers of this machine.</summary>
    public static DiskFacts OfSystem { get; } = new(path => new DriveInfo(path).DriveFormat, path => new DriveInfo(path).AvailableFreeSpace);

    /// <summary>The folder itself, or the nearest above it that exists.</summary>
    public static string Existing(string folder)
    {
        string at = Path.GetFullPath(folder);
        while (!Directory.Exists(at) && Path.GetDirectoryName(at) is { } above)
        {
            at = above;
        }

        return at;
    }
}

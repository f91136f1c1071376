using System.Diagnostics;
using System.Globalization;

namespace GraftWatch.Crash.Watching;

/// <summary>A small disk of its own, mounted where an installation is to live. Needs the superuser.</summary>
internal sealed class Disk : IAsyncDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-disk-").FullName;

    private Disk() => Mount = Directory.CreateDirectory(Path.Combine(folder, "mounted")).FullName;

    /// <summary>Whether this machine can do it.</summary>
    internal static bool IsPossible =>
        OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess && File.Exists("/dev/loop-control") && File.Exists("/sbin/mkfs.ext4") && File.Exists("/sbin/e2fsck");

    /// <summary>Where it is mounted.</summary>
    internal string Mount { get; }

    private string Image => Path.Combine(folder, "disk.img");

    /// <summary>A disk in memory of a size in MiB.</summary>
    internal static async Task<Disk> InMemoryAsync(int sizeMiB)
    {
        var disk = new Disk();
        await RunAsync(0, "mount", "-t", "tmpfs", "-o", string.Create(CultureInfo.InvariantCulture, $"size={sizeMiB}m"), "tmpfs", disk.Mount);
        return disk;
    }

    /// <summary>An ext4 file system inside a file: what the file holds is what survives a power cut.</summary>
    internal static async Task<Disk> InFileAsync()
    {
        var disk = new Disk();
        await using (FileStream file = File.Create(disk.Image))
        {
            file.SetLength(96 << 20);
        }

        await RunAsync(0, "/sbin/mkfs.ext4", "-q", "-F", disk.Image);
        await RunAsync(0, "mount", "-o", "loop", disk.Image, disk.Mount);
        return disk;
    }

    /// <summary>Cuts the power while a program is at work: it stands still, what the file holds then is put aside, the program is killed, and the disk comes back as that file.</summary>
    internal async Task CutPowerAsync(Process victim)
    {
        string survived = Image + ".survived";
        await RunAsync(0, "kill", "-STOP", victim.Id.ToString(CultureInfo.InvariantCulture));
        File.Copy(Image, survived, overwrite: true);
        await Child.KillAsync(victim);
        await RunAsync(0, "umount", Mount);
        File.Move(survived, Image, overwrite: true);
        await RunAsync(1, "/sbin/e2fsck", "-f", "-y", Image);
        await RunAsync(0, "mount", "-o", "loop", Image, Mount);
    }

    public async ValueTask DisposeAsync()
    {
        await RunAsync(int.MaxValue, "umount", "-l", Mount);
        Directory.Delete(folder, recursive: true);
    }

    private static async Task RunAsync(int worstExit, string program, params string[] arguments)
    {
        var start = new ProcessStartInfo(program) { RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        using Process process = Process.Start(start)!;
        Task<string> said = process.StandardOutput.ReadToEndAsync(), complained = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        if (process.ExitCode > worstExit)
        {
            throw new InvalidOperationException($"{program} {string.Join(' ', arguments)} ended with {process.ExitCode}: {await said}{await complained}");
        }
    }
}

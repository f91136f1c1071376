using System.Diagnostics;
using System.Globalization;

namespace GraftWatch.Crash.Stores;

/// <summary>
/// Imitates a power cut: the store lies on a file system inside a file, and what that file holds at one moment is all that
/// survives. What the system had not yet been told to write is gone, as on a real disk. Needs the superuser, ext4 and loop devices.
/// </summary>
public static class PowerCut
{
    /// <summary>Whether this machine can do it.</summary>
    public static bool IsPossible =>
        OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess && File.Exists("/dev/loop-control") && File.Exists("/sbin/mkfs.ext4") && File.Exists("/sbin/e2fsck");

    /// <summary>Cuts the power a number of times, each on a new disk, <paramref name="patience"/> times as late as usual.</summary>
    public static async Task<CrashTally> RunAsync(int images, bool fullSync, int seed, Action<string> log, int patience = 1)
    {
        var random = new Random(seed);
        var faults = new List<string>();
        int passed = 0, failed = 0, promises = 0;
        log(string.Create(CultureInfo.InvariantCulture, $"power: {images} cuts, {(fullSync ? "full" : "weaker")} syncs, seed {seed}"));
        for (int image = 1; image <= images; image++)
        {
            (int count, List<string> found) = await CutAsync(fullSync, patience * random.Next(1500, 4000));
            promises += count;
            passed += found.Count == 0 ? 1 : 0;
            failed += found.Count == 0 ? 0 : 1;
            log(string.Create(CultureInfo.InvariantCulture, $"cut {image}: {count} promises, {found.Count} not kept"));
            faults.AddRange(found.Select(fault => string.Create(CultureInfo.InvariantCulture, $"cut {image}: {fault}")).Take(20 - faults.Count));
        }

        return new CrashTally(passed, failed, promises, faults);
    }

    private static async Task<(int Promises, List<string> Faults)> CutAsync(bool fullSync, int afterMs)
    {
        string folder = Directory.CreateTempSubdirectory("graftwatch-power-").FullName;
        string disk = Path.Combine(folder, "disk.img"), survived = Path.Combine(folder, "survived.img");
        string mounted = Directory.CreateDirectory(Path.Combine(folder, "mounted")).FullName;
        string afterwards = Directory.CreateDirectory(Path.Combine(folder, "afterwards")).FullName;
        try
        {
            await using (FileStream file = File.Create(disk))
            {
                file.SetLength(64 << 20);
            }

            await RunAsync(0, "/sbin/mkfs.ext4", "-q", "-F", disk);
            await RunAsync(0, "mount", "-o", "loop", disk, mounted);
            var promised = new Acknowledged();
            // A gentle writer: in a storm of commits the system writes everything back soon anyway, and weak syncs look good.
            using Process child = Child.Start(promised.Hear, "write", Path.Combine(mounted, "store.db"), "1", fullSync ? "full" : "normal", "20");
            await Task.Delay(afterMs);
            Acknowledged before = promised.Snapshot();
            File.Copy(disk, survived);
            await Child.KillAsync(child);
            await RunAsync(1, "/sbin/e2fsck", "-f", "-y", survived);
            await RunAsync(0, "mount", "-o", "loop", survived, afterwards);
            return (before.Count, StoreOracle.Check(Path.Combine(afterwards, "store.db"), before));
        }
        finally
        {
            await RunAsync(int.MaxValue, "umount", "-l", mounted);
            await RunAsync(int.MaxValue, "umount", "-l", afterwards);
            Directory.Delete(folder, recursive: true);
        }
    }

    private static async Task RunAsync(int worstExit, string program, params string[] arguments)
    {
        var start = new ProcessStartInfo(program) { RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        using Process process = Process.Start(start)!;
        Task<string> said = process.StandardOutput.ReadToEndAsync();
        string complained = await process.StandardError.ReadToEndAsync();
        await said;
        await process.WaitForExitAsync();
        if (process.ExitCode > worstExit)
        {
            throw new InvalidOperationException($"{program} ended with {process.ExitCode}: {complained}");
        }
    }
}

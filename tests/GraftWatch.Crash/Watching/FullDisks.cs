using System.Diagnostics;
using System.Globalization;
using NodaTime;

namespace GraftWatch.Crash.Watching;

/// <summary>Fills the disk while letters wait: what is sealed must still go out and be receipted from the room kept for it, and nothing may be damaged.</summary>
public static class FullDisks
{
    private const int SizeMiB = 20;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    /// <summary>Fills a disk a number of times, each to another last byte.</summary>
    public static async Task<Tally> RunAsync(int trials, int seed, Action<string> log)
    {
        var random = new Random(seed);
        var tally = new Tally();
        for (int trial = 1; trial <= trials; trial++)
        {
            await using Disk disk = await Disk.InMemoryAsync(SizeMiB);
            await using var season = new Season(Instant.FromUtc(2027, 3, 26, 0, 0) + Duration.FromMinutes(random.Next(3 * 24 * 60)), disk.Mount) { DiskMayBeFull = true };
            long left = random.Next(4) == 0 ? 0 : random.Next(0, 200) * 1024L;
            (int waiting, int receipts, bool killed) = await FillAsync(season, left, random);
            await season.QuietAsync(season.Options, Patience);
            Judgement judgement = SlotOracle.Judge(season, quiet: true);
            tally.Add(judgement, killed ? 1 : 0, string.Create(CultureInfo.InvariantCulture, $"disk {trial}"));
            log(string.Create(CultureInfo.InvariantCulture, $"disk {trial}: {left / 1024} KiB left, {waiting} letters waited, {receipts} receipts noted while it was full, {season.ToldOfFullDisk} times told, {(killed ? "killed and started on it, " : string.Empty)}{judgement.Faults.Count} faults"));
        }

        return tally;
    }

    private static async Task<(int Waiting, int Receipts, bool Killed)> FillAsync(Season season, long left, Random random)
    {
        Lives.LifeOptions options = season.Options with { ReserveBytes = 5 << 20 };
        Process life = season.Begin(options);
        await UntilAsync(() => season.ReceiptsNoted >= 8);
        season.Sink.Busy = true;
        await UntilAsync(() => StoreReader.Read(season.Store).Count(letter => letter.State == "waiting") >= 4);
        int waiting = StoreReader.Read(season.Store).Count(letter => letter.State == "waiting");
        string ballast = Path.Combine(season.Folder, "ballast");
        Fill(ballast, new DriveInfo(season.Folder).AvailableFreeSpace - left);
        int before = season.ReceiptsNoted;
        season.Sink.Busy = false;
        await Task.Delay(1500);
        int receipts = season.ReceiptsNoted - before;
        bool again = random.Next(2) == 0;
        if (again)
        {
            await season.KillAsync(life);
            life = season.Begin(options);
            await Task.Delay(1000);
        }

        File.Delete(ballast);
        await Task.Delay(300);
        await season.EndAsync(Killed(life), Patience);
        return (waiting, receipts, again);
    }

    private static Process Killed(Process life)
    {
        life.Kill();
        return life;
    }

    private static async Task UntilAsync(Func<bool> condition)
    {
        var waited = Stopwatch.StartNew();
        while (!condition() && waited.Elapsed < Patience)
        {
            await Task.Delay(10);
        }
    }

    private static void Fill(string path, long bytes)
    {
        using FileStream file = File.Create(path, bufferSize: 1);
        byte[] block = new byte[64 * 1024];
        try
        {
            for (long written = 0; written < bytes; written += block.Length)
            {
                file.Write(block, 0, (int)Math.Min(block.Length, bytes - written));
            }

        }
        catch (IOException)
        {
            // Full is what it is to be.
        }
    }
}

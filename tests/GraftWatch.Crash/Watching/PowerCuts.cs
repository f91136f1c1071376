using System.Diagnostics;
using System.Globalization;
using NodaTime;

namespace GraftWatch.Crash.Watching;

/// <summary>Cuts the power of the whole daemon's disk and lets it go on from what survived.</summary>
public static class PowerCuts
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    /// <summary>Whether this machine can do it.</summary>
    public static bool IsPossible => Disk.IsPossible;

    /// <summary>Cuts the power a number of times, each on a new disk at another moment.</summary>
    public static async Task<Tally> RunAsync(int images, bool fullSync, int seed, Action<string> log)
    {
        var random = new Random(seed);
        var tally = new Tally();
        for (int image = 1; image <= images; image++)
        {
            await using Disk disk = await Disk.InFileAsync();
            await using var season = new Season(Instant.FromUtc(2027, 3, 26, 0, 0) + Duration.FromMinutes(random.Next(3 * 24 * 60)), disk.Mount);
            Process life = season.Begin(season.Options with { WeakSync = !fullSync });
            var patience = Stopwatch.StartNew();
            while (season.ReceiptsNoted == 0 && !life.HasExited && patience.Elapsed < Patience)
            {
                await Task.Delay(5);
            }

            await Task.Delay(random.Next(0, 2500));
            await season.CutPowerAsync(disk, life);
            int receipts = season.ReceiptsNoted;
            await season.QuietAsync(season.Options, Patience);
            Judgement judgement = SlotOracle.Judge(season, quiet: true);
            tally.Add(judgement, 1, string.Create(CultureInfo.InvariantCulture, $"cut {image}"));
            log(string.Create(CultureInfo.InvariantCulture, $"cut {image}: {receipts} receipts noted before, {judgement.Faults.Count} faults"));
        }

        return tally;
    }
}

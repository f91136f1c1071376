using System.Diagnostics;
using System.Globalization;
using NodaTime;

namespace GraftWatch.Crash.Watching;

/// <summary>Kills the program at moments that are equally likely over its life, from the first instruction on.</summary>
public static class RandomKills
{
    private const int KillsOfSeason = 40;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    /// <summary>Runs seasons of forty kills until there were enough kills.</summary>
    /// <param name="kills">How many.</param>
    /// <param name="seed">Of the moments, days and absences; moments on a machine repeat only roughly.</param>
    /// <param name="atOnce">Seasons side by side.</param>
    /// <param name="longest">No new season after this long.</param>
    /// <param name="log">Hears about each season.</param>
    /// <param name="server">Connection string of a PostgreSQL server; empty for files.</param>
    public static async Task<Tally> RunAsync(int kills, int seed, int atOnce, TimeSpan longest, Action<string> log, string server = "")
    {
        var tally = new Tally();
        var watch = Stopwatch.StartNew();
        int seasons = (kills + KillsOfSeason - 1) / KillsOfSeason;
        await Parallel.ForEachAsync(Enumerable.Range(0, seasons), new ParallelOptions { MaxDegreeOfParallelism = atOnce }, async (number, _) =>
        {
            if (watch.Elapsed > longest)
            {
                return;
            }

            int mine = Math.Min(KillsOfSeason, kills - (number * KillsOfSeason));
            Judgement judgement = await SeasonAsync(mine, new Random(seed + number), server, log);
            lock (tally)
            {
                tally.Add(judgement, mine, string.Create(CultureInfo.InvariantCulture, $"season {number} of seed {seed}"));
                log(string.Create(CultureInfo.InvariantCulture, $"{watch.Elapsed.TotalSeconds:0} s: {tally}"));
            }
        });
        return tally;
    }

    private static async Task<Judgement> SeasonAsync(int kills, Random random, string server, Action<string> log)
    {
        // Around a change of clocks somewhere, at any hour.
        Instant[] starts = [Instant.FromUtc(2027, 3, 12, 0, 0), Instant.FromUtc(2027, 3, 26, 0, 0), Instant.FromUtc(2027, 4, 2, 0, 0), Instant.FromUtc(2026, 10, 2, 0, 0), Instant.FromUtc(2026, 10, 23, 0, 0), Instant.FromUtc(2027, 9, 3, 0, 0)];
        await using var season = new Season(starts[random.Next(starts.Length)] + Duration.FromMinutes(random.Next(24 * 60)), server: server);
        double longestMs = 2500;
        for (int kill = 0; kill < kills; kill++)
        {
            var lived = Stopwatch.StartNew();
            int before = season.Passes.Count;
            using Process life = season.Begin(season.Options);
            // The first life is watched to its first pass, so that the span of moments fits the machine.
            if (kill == 0)
            {
                while (season.Passes.Count == before && !life.HasExited && lived.Elapsed < Patience)
                {
                    await Task.Delay(5);
                }

                longestMs = lived.Elapsed.TotalMilliseconds + 800;
            }

            await Task.Delay(TimeSpan.FromMilliseconds(kill == 0 ? random.NextDouble() * 300 : random.NextDouble() * longestMs));
            await season.KillAsync(life);
            season.Away(AwayTime(random));
        }

        await season.QuietAsync(season.Options, Patience);
        Judgement judgement = SlotOracle.Judge(season, quiet: true);
        if (judgement.Faults.Count > 0)
        {
            season.IsKept = true;
            log($"kept to be looked at: {season.Store}");
        }

        return judgement;
    }

    // Mostly the machine is back at once; now and then after hours or days, or with its clock set back.
    private static Duration AwayTime(Random random) => random.Next(20) switch
    {
        0 => Duration.FromHours(random.Next(1, 12)),
        1 => Duration.FromDays(random.Next(1, 4)),
        2 => -Duration.FromHours(1),
        < 8 => Duration.FromMinutes(random.Next(1, 60)),
        _ => Duration.FromSeconds(random.Next(1, 60)),
    };
}

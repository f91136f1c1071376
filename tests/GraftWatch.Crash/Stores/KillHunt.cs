using System.Diagnostics;
using System.Globalization;

namespace GraftWatch.Crash.Stores;

/// <summary>Kills the writer at random moments, on one store that lives through all of it.</summary>
public static class KillHunt
{
    private const int Workers = 4;

    /// <summary>Runs the hunt.</summary>
    /// <param name="kills">How many kills.</param>
    /// <param name="seed">Of the moments; printed, so that a hunt can be repeated as far as a machine repeats itself.</param>
    /// <param name="log">Hears about progress.</param>
    public static async Task<CrashTally> RunAsync(int kills, int seed, Action<string> log)
    {
        string folder = Directory.CreateTempSubdirectory("graftwatch-crash-").FullName;
        string store = Path.Combine(folder, "store.db");
        var random = new Random(seed);
        var promised = new Acknowledged();
        var faults = new List<string>();
        int passed = 0, failed = 0;
        log(string.Create(CultureInfo.InvariantCulture, $"hunt: {kills} kills, seed {seed}"));
        try
        {
            for (int kill = 1; kill <= kills; kill++)
            {
                using Process child = Child.Start(promised.Hear, "write", store, Workers.ToString(CultureInfo.InvariantCulture), "full", "0");
                await WaitAsync(child, promised, random);
                await Child.KillAsync(child);
                List<string> found = StoreOracle.Check(store, promised);
                found.AddRange(promised.Other.Select(said => $"the writer said: {said}"));
                promised.Other.Clear();
                passed += found.Count == 0 ? 1 : 0;
                failed += found.Count == 0 ? 0 : 1;
                faults.AddRange(found.Select(fault => string.Create(CultureInfo.InvariantCulture, $"kill {kill}: {fault}")).Take(20 - faults.Count));
                if (kill % 100 == 0)
                {
                    log(string.Create(CultureInfo.InvariantCulture, $"{kill} kills, {promised.Count} promises, {failed} failed"));
                }
            }

            return new CrashTally(passed, failed, promised.Count, faults);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    // Every fourth kill comes while the program starts and recovers what the last one left; the others while it writes.
    private static async Task WaitAsync(Process child, Acknowledged promised, Random random)
    {
        int moment = random.Next(0, 250);
        if (random.Next(4) > 0)
        {
            int before = promised.Count;
            var patience = Stopwatch.StartNew();
            while (promised.Count == before && !child.HasExited && patience.Elapsed < TimeSpan.FromSeconds(30))
            {
                await Task.Delay(2);
            }
        }

        await Task.Delay(moment);
    }
}

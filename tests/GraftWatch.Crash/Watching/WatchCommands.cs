using System.Globalization;
using GraftWatch.Crash.Lives;

namespace GraftWatch.Crash.Watching;

/// <summary>The commands that kill the whole daemon.</summary>
internal static class WatchCommands
{
    internal static async Task<int> RunAsync(string[] args, Action<string> log)
    {
        Dictionary<string, string> given = args.Skip(1).Chunk(2).Where(pair => pair.Length == 2).ToDictionary(pair => pair[0].TrimStart('-'), pair => pair[1], StringComparer.Ordinal);
        int Number(string name, int otherwise) => given.TryGetValue(name, out string? text) ? int.Parse(text, CultureInfo.InvariantCulture) : otherwise;
        switch (args.Length > 0 ? args[0] : "help")
        {
            case "points-list":
                foreach (string point in await PointRun.FindAsync())
                {
                    log(point);
                }

                return 0;
            case "calm":
                log((await PointRun.CalmAsync(Number("days", 7), log)).ToString());
                return 0;
            case "year":
                YearReport year = await YearRun.RunAsync(Number("days", 366), log, Number("short-lives", YearRun.UsualShortLives));
                return year.Tally is { Failed: 0, Mornings: > 0 } && !(Math.Abs(year.Drift) >= 0.05) ? 0 : 1;
            case "hours":
                return await SlowRun.RunAsync(given["program"], Number("minutes", 120) / 60.0, log) ? 0 : 1;
            case "points":
                IReadOnlyList<string> points = [.. (await PointRun.FindAsync()).Where(point => point.Contains(given.GetValueOrDefault("only", string.Empty), StringComparison.Ordinal))];
                return Report(await PointRun.EachAloneAsync(points, Number("times", 5), log), log);
            case "chain":
                return Report(await PointRun.InOneChainAsync(await PointRun.FindAsync()), log);
            case "kills":
                return Report(await RandomKills.RunAsync(Number("kills", 2000), Number("seed", 1), Number("at-once", 2), TimeSpan.FromSeconds(Number("seconds", 86400)), log, given.GetValueOrDefault("postgres", string.Empty)), log);
            case "cuts":
                return Report(await PowerCuts.RunAsync(Number("images", 20), fullSync: true, Number("seed", 1), log), log);
            case "cuts-control":
                Tally control = await PowerCuts.RunAsync(Number("images", 6), fullSync: false, Number("seed", 1), log);
                log(control.ToString());
                return control.Failed > 0 ? 0 : 1;
            case "full-disks":
                return Report(await FullDisks.RunAsync(Number("trials", 20), Number("seed", 1), log), log);
            case "controls":
                return await ControlsAsync(log);
            default:
                log("calm [--days 7] | year [--days 366] [--short-lives 6] | hours --program PATH [--minutes 120] | points-list | points [--times 5] [--only words] | chain | controls | cuts [--images 20] | cuts-control | full-disks [--trials 20] | kills [--kills 2000] [--seed 1] [--at-once 2] [--seconds n] [--postgres 'Host=…']");
                return 2;
        }
    }

    private static async Task<int> ControlsAsync(Action<string> log)
    {
        int unseen = 0;
        foreach (Spoil spoil in Enum.GetValues<Spoil>())
        {
            Tally tally = await Controls.RunAsync(spoil);
            bool right = Controls.IsFound(spoil, tally);
            unseen += right ? 0 : 1;
            log($"{spoil}: {(right ? "as it must be" : "WRONG")}: {tally.Faults.FirstOrDefault(fault => fault.Contains(": " + Controls.WordOf(spoil), StringComparison.Ordinal)) ?? tally.ToString()}");
        }

        return unseen;
    }

    private static int Report(Tally tally, Action<string> log)
    {
        log(tally.ToString());
        foreach (string missed in tally.Missed)
        {
            log("not reached: " + missed);
        }

        return tally is { Failed: 0, Kills: > 0, Mornings: > 0 } ? 0 : 1;
    }
}

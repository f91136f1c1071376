using System.Globalization;
using GraftWatch.Crash.Lives;
using GraftWatch.Crash.Stores;
using GraftWatch.Crash.Watching;

// Kills the daemon, or the store's writer alone, at named points and at any moment, and lets a reader that shares no code with
// the product say whether a letter or a receipt is missing, doubled, early or without a reason. docs/reliability.md tells more.
string command = args.Length > 0 ? args[0] : "help";
switch (command)
{
    case "live":
        await OneLife.RunAsync(LifeOptions.FromWords(args));
        return 0;
    case "write":
        await StoreWriter.RunAsync(args[1], workers: int.Parse(args[2], CultureInfo.InvariantCulture), fullSync: args[3] == "full", pauseMs: int.Parse(args[4], CultureInfo.InvariantCulture));
        return 0;
    case "migrate":
        await StoreWriter.MigrateAndDieAsync(args[1], statement: int.Parse(args[2], CultureInfo.InvariantCulture));
        return 0;
    case "hunt":
        return Report(await KillHunt.RunAsync(kills: Number(1, 2000), seed: Number(2, 1), Console.Out.WriteLine));
    case "power":
        return Report(await PowerCut.RunAsync(images: Number(1, 20), fullSync: true, seed: Number(2, 1), Console.Out.WriteLine));
    case "power-control":
        // With weaker syncs the same cuts must lose letters; a harness that finds nothing then proves nothing.
        return (await PowerCut.RunAsync(images: Number(1, 6), fullSync: false, seed: Number(2, 1), Console.Out.WriteLine)).Failed > 0 ? 0 : 1;
    default:
        return await WatchCommands.RunAsync(args, Console.Out.WriteLine);
}

int Number(int at, int otherwise) => args.Length > at ? int.Parse(args[at], CultureInfo.InvariantCulture) : otherwise;

int Report(CrashTally tally)
{
    Console.Out.WriteLine(tally.ToString());
    return tally.Failed == 0 && tally.Acknowledged > 0 ? 0 : 1;
}

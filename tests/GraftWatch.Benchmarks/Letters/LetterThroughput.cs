using System.Diagnostics;
using System.Globalization;
using GraftWatch.Letters;
using GraftWatch.Letters.Smtp;
using GraftWatch.Records;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using Microsoft.Extensions.Logging.Abstractions;

namespace GraftWatch.Benchmarks.Letters;

/// <summary>How fast letters go from sealed to receipted on this machine, through the store, its claims and a mail server; the goal is 10,000 in 90 seconds on two cores.</summary>
internal static class LetterThroughput
{
    internal static async Task PrintAsync(int letters, TextWriter output)
    {
        // This server answers at once; a library's server holds the second of two pipelined replies back until the first is acknowledged, some 40 ms.
        await using var server = ScriptedMailServer.Start(new MailScript(MailStage.Never, MailFault.Close));
        var mail = new MailOptions { Host = "127.0.0.1", Port = server.Port, From = "letters@orchard.example", Security = MailSecurity.None, Connections = 4, LettersPerConnection = 1000 };
        string folder = Directory.CreateTempSubdirectory("graftwatch-letters-").FullName;
        try
        {
            await using SqliteStore store = await SqliteStore.OpenAsync(Path.Combine(folder, "store.db"), CancellationToken.None);
            TimeSpan sealing = await SealAsync(store, mail, letters);
            await HandOverAsync(store, mail, letters, sealing, server, output);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static async Task<TimeSpan> SealAsync(SqliteStore store, MailOptions mail, int letters)
    {
        var composer = new LetterComposer(mail, choices: _ => new LetterChoices(Picture: false));
        var watch = Stopwatch.StartNew();
        await Parallel.ForAsync(0, letters, new ParallelOptions { MaxDegreeOfParallelism = 8 }, async (i, token) =>
        {
            Grower grower = Some.Grower(string.Create(CultureInfo.InvariantCulture, $"Grower {i}"), string.Create(CultureInfo.InvariantCulture, $"g{i}@grower.example"));
            await store.Ledger.SealAsync(composer.Compose(Some.Round(), grower, 1, Some.Morning), token);
        });
        return watch.Elapsed;
    }

    private static async Task HandOverAsync(SqliteStore store, MailOptions mail, int letters, TimeSpan sealing, ScriptedMailServer server, TextWriter output)
    {
        using var process = Process.GetCurrentProcess();
        TimeSpan before = process.TotalProcessorTime;
        long mostBytes = 0;
        await using var channel = new SmtpChannel(mail, TimeProvider.System);
        var run = new DeliveryRun(store.Claims, store.Ledger, channel, new Worker(), TimeProvider.System, NullLogger<DeliveryRun>.Instance);
        var watch = Stopwatch.StartNew();
        using var ended = new CancellationTokenSource();
        Task watching = Task.Run(async () =>
        {
            while (!ended.IsCancellationRequested)
            {
                process.Refresh();
                mostBytes = Math.Max(mostBytes, process.WorkingSet64);
                await Task.Delay(100);
            }
        });
        DeliveryTally tally = await run.RunAsync(() => Some.Morning, CancellationToken.None);
        watch.Stop();
        await ended.CancelAsync();
        await watching;
        process.Refresh();
        await output.WriteLineAsync(string.Create(
            CultureInfo.InvariantCulture,
            $"{letters} letters composed and sealed in {sealing.TotalSeconds:F1} s; {tally.Accepted} claimed, handed over and receipted in {watch.Elapsed.TotalSeconds:F1} s "
            + $"(processor {(process.TotalProcessorTime - before).TotalSeconds:F1} s, the server's share included), {tally.Waiting} wait, {server.Connections} connections, at most {mostBytes / 1048576} MiB resident"));
    }

    private sealed class Worker : IWorkerName
    {
        public Task<string> NameAsync(CancellationToken cancellationToken) => Task.FromResult("benchmark/1");
    }
}

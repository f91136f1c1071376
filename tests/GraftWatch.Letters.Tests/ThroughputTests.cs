using System.Diagnostics;
using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Letters.Tests;

/// <summary>How fast letters are composed and handed over. The long run is explicit and prints its figures.</summary>
public class ThroughputTests
{
    [Fact(Explicit = true)]
    public async Task Ten_thousand_letters_are_handed_to_a_local_server_within_ninety_seconds()
    {
        // This server answers at once; the library's holds the second of two pipelined replies back until the first is acknowledged, some 40 ms.
        await using var server = ScriptedMailServer.Start(new MailScript(MailStage.Never, MailFault.Close));
        await RunAsync(10_000, server.Port, TimeSpan.FromSeconds(90));
        Assert.Equal(10_000, server.Acknowledged);
        Assert.Empty(server.Surprises);
        Assert.InRange(server.Connections, 1, 16);
    }

    [Fact]
    public async Task Five_hundred_letters_go_over_four_lines()
    {
        await using var server = LoopbackMailServer.Start(new() { KeepBytes = false });
        await RunAsync(500, server.Port, TimeSpan.FromMinutes(2));
        Assert.Equal(500, server.Received.Select(r => r.Recipients[0]).Distinct().Count());
        Assert.InRange(server.Sessions, 1, 4);
    }

    private static async Task RunAsync(int letters, int port, TimeSpan limit)
    {
        var mail = new MailOptions { Host = "127.0.0.1", Port = port, From = "letters@orchard.example", Security = MailSecurity.None, Connections = 4, LettersPerConnection = 1000 };
        var composer = new LetterComposer(mail, choices: _ => new LetterChoices(Picture: false));
        using var process = Process.GetCurrentProcess();
        TimeSpan cpu = process.TotalProcessorTime;
        var watch = Stopwatch.StartNew();
        SealedLetter[] all =
        [
            .. Enumerable.Range(0, letters).Select(i => composer.Compose(Some.Round(), Some.Grower($"Grower {i}", $"g{i}@grower.example"), 1, Some.Morning)),
        ];
        TimeSpan composed = watch.Elapsed;
        process.Refresh();
        TimeSpan composing = process.TotalProcessorTime - cpu;
        int receipts = 0;
        watch.Restart();
        await using (var channel = new SmtpChannel(mail, TimeProvider.System))
        {
            await Parallel.ForEachAsync(all, new ParallelOptions { MaxDegreeOfParallelism = 8, CancellationToken = TestContext.Current.CancellationToken }, async (letter, token) =>
            {
                DeliveryResult result = await channel.DeliverAsync(letter, token);
                Assert.Equal(DeliveryOutcome.Accepted, result.Outcome);
                Interlocked.Increment(ref receipts);
            });
        }

        process.Refresh();
        TimeSpan sending = process.TotalProcessorTime - cpu - composing;
        TestContext.Current.SendDiagnosticMessage(
            $"{letters} letters of {all[0].Bytes.Length} bytes: composed in {composed.TotalSeconds:F1} s (processor {composing.TotalSeconds:F1} s), "
            + $"handed over in {watch.Elapsed.TotalSeconds:F1} s (processor {sending.TotalSeconds:F1} s, the server's share included)");
        Assert.Equal(letters, receipts);
        Assert.InRange(watch.Elapsed, TimeSpan.Zero, limit);
    }
}

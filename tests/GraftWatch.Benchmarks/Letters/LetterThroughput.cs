using System.Diagnostics;
using GraftWatch.Letters;
using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Benchmarks.Letters;

/// <summary>How fast letters are composed and handed to a server on this machine; the goal is 10,000 in 90 seconds on two cores.</summary>
internal static class LetterThroughput
{
    internal static async Task PrintAsync(int letters, TextWriter output)
    {
        // This server answers at once; a library's server holds the second of two pipelined replies back until the first is acknowledged, some 40 ms.
        await using var server = ScriptedMailServer.Start(new MailScript(MailStage.Never, MailFault.Close));
        var mail = new MailOptions { Host = "127.0.0.1", Port = server.Port, From = "letters@orchard.example", Security = MailSecurity.None, Connections = 4, LettersPerConnection = 1000 };
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
        int accepted = 0;
        watch.Restart();
        await using (var channel = new SmtpChannel(mail, TimeProvider.System))
        {
            await Parallel.ForEachAsync(all, new ParallelOptions { MaxDegreeOfParallelism = 8 }, async (letter, token) =>
            {
                DeliveryResult result = await channel.DeliverAsync(letter, token);
                Interlocked.Add(ref accepted, result.Outcome == DeliveryOutcome.Accepted ? 1 : 0);
            });
        }

        process.Refresh();
        TimeSpan sending = process.TotalProcessorTime - cpu - composing;
        await output.WriteLineAsync(
            $"{letters} letters of {all[0].Bytes.Length} bytes: composed in {composed.TotalSeconds:F1} s (processor {composing.TotalSeconds:F1} s), "
            + $"{accepted} handed over in {watch.Elapsed.TotalSeconds:F1} s (processor {sending.TotalSeconds:F1} s, the server's share included), {server.Connections} connections");
    }
}

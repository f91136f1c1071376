using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Letters.Tests;

/// <summary>Many letters over few lines. How fast is measured by the benchmarks, not here.</summary>
public class ManyLettersTests
{
    [Fact]
    public async Task Five_hundred_letters_go_over_four_lines()
    {
        await using var server = LoopbackMailServer.Start(new() { KeepBytes = false });
        await RunAsync(500, server.Port);
        Assert.Equal(500, server.Received.Select(r => r.Recipients[0]).Distinct().Count());
        Assert.InRange(server.Sessions, 1, 4);
    }

    private static async Task RunAsync(int letters, int port)
    {
        var mail = new MailOptions { Host = "127.0.0.1", Port = port, From = "letters@orchard.example", Security = MailSecurity.None, Connections = 4, LettersPerConnection = 1000 };
        var composer = new LetterComposer(mail, choices: _ => new LetterChoices(Picture: false));
        int receipts = 0;
        await using var channel = new SmtpChannel(mail, TimeProvider.System);
        await Parallel.ForEachAsync(Enumerable.Range(0, letters), new ParallelOptions { MaxDegreeOfParallelism = 8, CancellationToken = TestContext.Current.CancellationToken }, async (i, token) =>
        {
            SealedLetter letter = composer.Compose(Some.Round(), Some.Grower($"Grower {i}", $"g{i}@grower.example"), 1, Some.Morning);
            DeliveryResult result = await channel.DeliverAsync(letter, token);
            Assert.Equal(DeliveryOutcome.Accepted, result.Outcome);
            Interlocked.Increment(ref receipts);
        });

        Assert.Equal(letters, receipts);
    }
}

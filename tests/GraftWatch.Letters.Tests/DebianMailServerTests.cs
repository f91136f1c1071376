using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using MailKit;
using MailKit.Net.Imap;
using MailKit.Security;
using MimeKit;

namespace GraftWatch.Letters.Tests;

public class DebianMailServerTests
{
    [Fact]
    public async Task A_letter_goes_through_Postfix_and_is_read_back_over_IMAP_as_it_was_sealed()
    {
        Assert.SkipUnless(DebianMailServers.ArePresent, DebianMailServers.AbsentReason);
        CancellationToken token = TestContext.Current.CancellationToken;
        await using DebianMailServers servers = await DebianMailServers.StartAsync();
        var mail = new MailOptions { Host = "127.0.0.1", Port = servers.SmtpPort, From = "letters@orchard.example", ReplyTo = "office@orchard.example", CertificateSha256 = servers.CertificateSha256 };
        SealedLetter letter = new LetterComposer(mail).Compose(Some.Round() with { Outlook = Some.Outlook() }, Some.Grower(), 12, Some.Morning);
        await using (var channel = new SmtpChannel(mail, TimeProvider.System))
        {
            DeliveryResult result = await channel.DeliverAsync(letter, token);
            Assert.True(result.Outcome == DeliveryOutcome.Accepted, result.ToString());
            Assert.Equal((DeliveryOutcome.GiveUp, DeliveryReason.Refused), Pair(await channel.DeliverAsync(letter with { Recipient = "mara@elsewhere.invalid" }, token)));
        }

        using MimeMessage read = await ReadAsync(servers.ImapPort, token);

        using var written = MimeMessage.Load(new MemoryStream(letter.Bytes.ToArray()));
        Assert.Equal(written.Headers.Select(h => (h.Field, h.Value)), read.Headers.Where(h => h.Field is not ("Return-Path" or "X-Original-To" or "Delivered-To" or "Received")).Select(h => (h.Field, h.Value)));
        Assert.Equal(Bytes(written.Body), Bytes(read.Body));
        Assert.DoesNotContain(Environment.MachineName, string.Concat(read.Headers.Where(h => h.Field != "Received").Select(h => h.Value)), StringComparison.OrdinalIgnoreCase);
        Assert.Contains(read.Headers, h => h.Field == "Received" && h.Value.Contains("from orchard.example", StringComparison.Ordinal));
    }

    private static (DeliveryOutcome Outcome, DeliveryReason Reason) Pair(DeliveryResult result) => (result.Outcome, result.Reason);

    private static byte[] Bytes(MimeEntity? body)
    {
        using var bytes = new MemoryStream();
        body!.WriteTo(new FormatOptions { NewLineFormat = NewLineFormat.Dos }, bytes, contentOnly: true);
        return bytes.ToArray();
    }

    private static async Task<MimeMessage> ReadAsync(int port, CancellationToken cancellationToken)
    {
        using var client = new ImapClient();
        await client.ConnectAsync("127.0.0.1", port, SecureSocketOptions.None, cancellationToken);
        await client.AuthenticateAsync("mara", "apple", cancellationToken);
        IMailFolder inbox = client.Inbox!;
        await inbox.OpenAsync(FolderAccess.ReadOnly, cancellationToken);
        for (int i = 0; i < 100 && inbox.Count == 0; i++)
        {
            await Task.Delay(200, cancellationToken);
            await client.NoOpAsync(cancellationToken);
        }

        Assert.Equal(1, inbox.Count);
        return await inbox.GetMessageAsync(0, cancellationToken);
    }
}

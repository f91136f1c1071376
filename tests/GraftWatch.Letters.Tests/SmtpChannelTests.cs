using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using Microsoft.Extensions.Time.Testing;

namespace GraftWatch.Letters.Tests;

public class SmtpChannelTests
{
    private static readonly MailOptions Plain = new() { Host = "127.0.0.1", From = "letters@orchard.example", Security = MailSecurity.None };

    [Fact]
    public async Task A_letter_arrives_byte_for_byte_as_it_was_sealed()
    {
        await using var server = LoopbackMailServer.Start();
        await using var channel = new SmtpChannel(Plain with { Port = server.Port }, TimeProvider.System);
        SealedLetter letter = Letter();

        DeliveryResult result = await channel.DeliverAsync(letter, TestContext.Current.CancellationToken);

        Assert.Equal(DeliveryOutcome.Accepted, result.Outcome);
        Assert.Contains("kept", result.Detail, StringComparison.Ordinal);
        ReceivedLetter received = Assert.Single(server.Received);
        Assert.Equal("letters@orchard.example", received.Sender);
        Assert.Equal(["mara@grower.example"], received.Recipients);
        Assert.Equal(letter.Bytes.ToArray(), received.Bytes);
    }

    [Fact]
    public async Task Signing_in_over_STARTTLS_with_a_pinned_certificate_works()
    {
        using var certificate = LoopbackMailServer.MakeCertificate();
        await using var server = LoopbackMailServer.Start(new() { Certificate = certificate, Password = "apple blossom" });
        await using var channel = new SmtpChannel(
            Plain with { Port = server.Port, Security = MailSecurity.StartTls, UserName = "letters", Password = "apple blossom", CertificateSha256 = server.CertificateSha256 },
            TimeProvider.System);

        DeliveryResult result = await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);

        Assert.Equal(DeliveryOutcome.Accepted, result.Outcome);
        Assert.True(Assert.Single(server.Received).WasSecure);
    }

    [Fact]
    public async Task TLS_from_the_first_byte_works()
    {
        using var certificate = LoopbackMailServer.MakeCertificate();
        await using var server = LoopbackMailServer.Start(new() { Certificate = certificate, TlsFromFirstByte = true });
        await using var channel = new SmtpChannel(Plain with { Port = server.Port, Security = MailSecurity.Tls, CertificateSha256 = server.CertificateSha256 }, TimeProvider.System);

        Assert.Equal(DeliveryOutcome.Accepted, (await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken)).Outcome);
    }

    [Fact]
    public async Task A_server_without_TLS_gets_no_letter_unless_the_operator_says_so()
    {
        await using var server = LoopbackMailServer.Start();
        await using var channel = new SmtpChannel(Plain with { Port = server.Port, Security = MailSecurity.StartTls }, TimeProvider.System);

        DeliveryResult result = await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);

        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.Security), (result.Outcome, result.Reason));
        Assert.Empty(server.Received);
    }

    [Fact]
    public async Task An_untrusted_certificate_gets_no_letter()
    {
        using var certificate = LoopbackMailServer.MakeCertificate();
        await using var server = LoopbackMailServer.Start(new() { Certificate = certificate });
        await using var channel = new SmtpChannel(Plain with { Port = server.Port, Security = MailSecurity.StartTls }, TimeProvider.System);

        DeliveryResult result = await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);

        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.Security), (result.Outcome, result.Reason));
        Assert.Empty(server.Received);
    }

    [Fact]
    public async Task A_wrong_password_is_for_the_operator_and_is_not_repeated_in_the_words()
    {
        using var certificate = LoopbackMailServer.MakeCertificate();
        await using var server = LoopbackMailServer.Start(new() { Certificate = certificate, Password = "right" });
        await using var channel = new SmtpChannel(
            Plain with { Port = server.Port, Security = MailSecurity.StartTls, UserName = "letters", Password = "planted-wrong-secret", CertificateSha256 = server.CertificateSha256 },
            TimeProvider.System);

        DeliveryResult result = await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);

        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.SignIn), (result.Outcome, result.Reason));
        Assert.DoesNotContain("planted-wrong-secret", result.Detail, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(451, "4.7.1 come back later", DeliveryOutcome.TryLater, DeliveryReason.ServerBusy)]
    [InlineData(550, "5.1.1 no such grower", DeliveryOutcome.GiveUp, DeliveryReason.BadRecipient)]
    [InlineData(550, "5.7.1 not from you", DeliveryOutcome.GiveUp, DeliveryReason.Refused)]
    [InlineData(552, "4.2.2 mailbox full today", DeliveryOutcome.TryLater, DeliveryReason.ServerBusy)]
    public async Task A_refused_recipient_ends_as_its_codes_say(int code, string words, DeliveryOutcome outcome, DeliveryReason reason)
    {
        await using var server = LoopbackMailServer.Start(new() { RefuseRecipient = (code, words) });
        await using var channel = new SmtpChannel(Plain with { Port = server.Port }, TimeProvider.System);

        DeliveryResult result = await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);

        Assert.Equal((outcome, reason), (result.Outcome, result.Reason));
        Assert.Contains(words, result.Detail, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(452, DeliveryOutcome.TryLater, DeliveryReason.ServerBusy)]
    [InlineData(554, DeliveryOutcome.GiveUp, DeliveryReason.Refused)]
    public async Task A_refused_text_ends_as_its_code_says(int code, DeliveryOutcome outcome, DeliveryReason reason)
    {
        await using var server = LoopbackMailServer.Start(new() { RefuseText = (code, "as the test wants") });
        await using var channel = new SmtpChannel(Plain with { Port = server.Port }, TimeProvider.System);

        DeliveryResult result = await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);

        Assert.Equal((outcome, reason), (result.Outcome, result.Reason));
    }

    [Fact]
    public async Task No_server_at_all_is_tried_again_later()
    {
        await using var channel = new SmtpChannel(Plain with { Port = LoopbackMailServer.FreePort() }, TimeProvider.System);

        DeliveryResult result = await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);

        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.Connection), (result.Outcome, result.Reason));
    }

    [Fact]
    public async Task Settings_that_cannot_work_are_named()
    {
        Assert.Contains("no mail server", await NotReadyAsync(new MailOptions { From = "a@b.example" }), StringComparison.Ordinal);
        Assert.Contains("no sender", await NotReadyAsync(new MailOptions { Host = "mail.example" }), StringComparison.Ordinal);
        Assert.Contains("cannot be used", await NotReadyAsync(Plain with { From = "a b@c" }), StringComparison.Ordinal);
        Assert.Contains("without TLS", await NotReadyAsync(Plain with { Host = "mail.example", UserName = "u", Password = "p" }), StringComparison.Ordinal);
        Assert.Contains("password", await NotReadyAsync(Plain with { UserName = "u" }), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Many_letters_share_a_few_lines()
    {
        await using var server = LoopbackMailServer.Start();
        await using var channel = new SmtpChannel(Plain with { Port = server.Port, Connections = 3 }, TimeProvider.System);

        DeliveryResult[] results = await Task.WhenAll(Enumerable.Range(0, 60).Select(_ => channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken)));

        Assert.All(results, r => Assert.Equal(DeliveryOutcome.Accepted, r.Outcome));
        Assert.Equal(60, server.Received.Count);
        Assert.InRange(server.Sessions, 1, 3);
    }

    [Fact]
    public async Task A_line_is_closed_after_so_many_letters()
    {
        await using var server = LoopbackMailServer.Start();
        await using var channel = new SmtpChannel(Plain with { Port = server.Port, LettersPerConnection = 2 }, TimeProvider.System);

        for (int i = 0; i < 5; i++)
        {
            Assert.Equal(DeliveryOutcome.Accepted, (await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken)).Outcome);
        }

        Assert.Equal(3, server.Sessions);
    }

    [Fact]
    public async Task A_line_that_idled_too_long_is_not_used_again()
    {
        await using var server = LoopbackMailServer.Start();
        var time = new FakeTimeProvider();
        await using var channel = new SmtpChannel(Plain with { Port = server.Port }, time);

        await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);
        time.Advance(TimeSpan.FromSeconds(59));
        await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);
        Assert.Equal(1, server.Sessions);
        time.Advance(TimeSpan.FromSeconds(60));
        await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);
        Assert.Equal(2, server.Sessions);
    }

    [Theory]
    [InlineData(MailStage.Sender, DeliveryOutcome.TryLater)]
    [InlineData(MailStage.Data, DeliveryOutcome.TryLater)]
    [InlineData(MailStage.Dot, DeliveryOutcome.Unknown)]
    public async Task Stopping_the_program_ends_a_try_in_the_state_it_had_reached(MailStage stage, DeliveryOutcome outcome)
    {
        await using var server = ScriptedMailServer.Start(new MailScript(stage, MailFault.Stall));
        await using var channel = new SmtpChannel(Plain with { Port = server.Port }, TimeProvider.System);
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);

        Task<DeliveryResult> sending = channel.DeliverAsync(Letter(), stop.Token);
        while (server.Faults == 0)
        {
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }

        await stop.CancelAsync();

        Assert.Equal((outcome, DeliveryReason.Connection), ((await sending).Outcome, (await sending).Reason));
    }

    internal static SealedLetter Letter() =>
        new LetterComposer(new MailOptions { From = "letters@orchard.example" }).Compose(Some.Round(), Some.Grower(), 12, Some.Morning);

    private static async Task<string> NotReadyAsync(MailOptions options)
    {
        await using var channel = new SmtpChannel(options, TimeProvider.System);
        DeliveryResult result = await channel.DeliverAsync(Letter(), TestContext.Current.CancellationToken);
        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.NotSetUp), (result.Outcome, result.Reason));
        return result.Detail;
    }
}

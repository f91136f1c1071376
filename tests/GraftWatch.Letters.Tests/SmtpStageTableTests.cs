using System.Collections.Concurrent;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Letters.Tests;

/// <summary>Every fault at every stage of SMTP ends in the state that RFC 5321 and RFC 1047 ask for.</summary>
public sealed class SmtpStageTableTests : IDisposable
{
    private readonly X509Certificate2 certificate = LoopbackMailServer.MakeCertificate();

    [Fact]
    public async Task The_first_letter_on_a_line_ends_as_prescribed_at_nine_stages_with_nine_faults_pipelined_or_not_secure_or_not()
    {
        int cases = await RunAsync(
            from stage in Enum.GetValues<MailStage>()
            where stage != MailStage.Never
            from fault in Enum.GetValues<MailFault>()
            from pipelining in new[] { true, false }
            from secure in new[] { true, false }
            select new MailScript(stage, fault, 1, pipelining, secure ? certificate : null));

        Assert.Equal(9 * 9 * 2 * 2, cases);
    }

    [Fact]
    public async Task The_second_letter_on_a_line_ends_as_prescribed()
    {
        int cases = await RunAsync(
            from stage in Enum.GetValues<MailStage>()
            where stage is >= MailStage.Sender and <= MailStage.Dot
            from fault in Enum.GetValues<MailFault>()
            from pipelining in new[] { true, false }
            select new MailScript(stage, fault, 2, pipelining));

        Assert.Equal(5 * 9 * 2, cases);
    }

    public void Dispose() => certificate.Dispose();

    private async Task<int> RunAsync(IEnumerable<MailScript> scripts)
    {
        MailScript[] all = [.. scripts];
        var wrong = new ConcurrentQueue<string>();
        await Parallel.ForEachAsync(all, new ParallelOptions { MaxDegreeOfParallelism = 24, CancellationToken = TestContext.Current.CancellationToken }, async (script, token) =>
        {
            if (await CaseAsync(script, token) is { } fault)
            {
                wrong.Enqueue($"{script.Stage} {script.Fault} letter {script.Letter} {(script.Pipelining ? "pipelined" : "one by one")} {(script.Certificate is null ? "plain" : "TLS")}: {fault}");
            }
        });
        Assert.Empty(wrong.Order(StringComparer.Ordinal));
        return all.Length;
    }

    private async Task<string?> CaseAsync(MailScript script, CancellationToken token)
    {
        await using var server = ScriptedMailServer.Start(script);
        DeliveryResult result;
        await using (var channel = new SmtpChannel(Options(server, script), TimeProvider.System))
        {
            if (script.Letter == 2)
            {
                DeliveryResult first = await channel.DeliverAsync(SmtpChannelTests.Letter(), token);
                if (first.Outcome != DeliveryOutcome.Accepted)
                {
                    return "the first letter: " + first;
                }
            }

            result = await channel.DeliverAsync(script.Stage == MailStage.Text ? LongLetter() : SmtpChannelTests.Letter(), token);
        }

        (DeliveryOutcome Outcome, DeliveryReason? Reason) wanted = Prescribed(script);
        if (result.Outcome != wanted.Outcome || (wanted.Reason is { } reason && result.Reason != reason))
        {
            return $"wanted {wanted}, got {result}";
        }

        int acknowledged = script.Letter - 1 + (wanted.Outcome == DeliveryOutcome.Accepted ? 1 : 0);
        return !server.Surprises.IsEmpty ? "surprised by " + string.Join(" | ", server.Surprises)
            : server.Faults == 0 ? "the fault never struck"
            : server.Acknowledged != acknowledged ? $"the server said 250 to {server.Acknowledged}"
            : result.Outcome is DeliveryOutcome.TryLater && server.Whole > script.Letter - 1 && (int)script.Fault < 400 ? "the server has the letter, yet it would be sent again as if it had not"
            : null;
    }

    /// <summary>The table. RFC 5321 §4.2.1 (first digit), §3.8 and RFC 1047 (lost answers); before MAIL the relay is at fault, not the letter.</summary>
    private static (DeliveryOutcome Outcome, DeliveryReason? Reason) Prescribed(MailScript script)
    {
        int code = (int)script.Fault;
        bool broken = code < 400;
        switch (script.Stage)
        {
            case MailStage.Quit:
                return (DeliveryOutcome.Accepted, DeliveryReason.None);
            case MailStage.Greeting or MailStage.Hello:
                return (DeliveryOutcome.TryLater, null);
            case MailStage.SignIn:
                return (DeliveryOutcome.TryLater, broken ? DeliveryReason.Connection : code >= 500 ? DeliveryReason.SignIn : null);
            case MailStage.Dot when broken:
                return (DeliveryOutcome.Unknown, DeliveryReason.Connection);
            case MailStage.Text when script.Fault == MailFault.Garbage:
                // The client sees it only where it looks for the answer to the dot.
                return (DeliveryOutcome.Unknown, DeliveryReason.Connection);
            case MailStage.Sender or MailStage.Recipient when IsReplacedOnce(script):
                return (DeliveryOutcome.Accepted, DeliveryReason.None);
            default:
                return broken ? (DeliveryOutcome.TryLater, DeliveryReason.Connection)
                    : code < 500 ? (DeliveryOutcome.TryLater, null)
                    : (DeliveryOutcome.GiveUp, script.Stage == MailStage.Recipient ? DeliveryReason.BadRecipient : DeliveryReason.Refused);
        }
    }

    /// <summary>A kept line that the server has closed before the letter's sender was accepted is replaced by a fresh one, on which this script strikes no more.</summary>
    private static bool IsReplacedOnce(MailScript script) =>
        script is { Letter: 2, Fault: MailFault.Close or MailFault.Reset or MailFault.Garbage or MailFault.Reply421 };

    private static MailOptions Options(ScriptedMailServer server, MailScript script)
    {
        bool stalls = script.Fault == MailFault.Stall;
        TimeSpan patient = TimeSpan.FromSeconds(30);
        TimeSpan brief = TimeSpan.FromSeconds(4); // long enough for the stages before it on a busy machine
        return new MailOptions
        {
            Host = "127.0.0.1",
            Port = server.Port,
            From = "letters@orchard.example",
            UserName = "letters",
            Password = "apple",
            Security = script.Certificate is null ? MailSecurity.None : MailSecurity.StartTls,
            CertificateSha256 = script.Certificate is null ? string.Empty : Convert.ToHexString(SHA256.HashData(script.Certificate.RawData)),
            ConnectLimit = stalls && script.Stage == MailStage.Greeting ? brief : patient,
            CommandLimit = stalls && script.Stage is MailStage.Hello or MailStage.SignIn or MailStage.Sender or MailStage.Recipient ? brief : patient,
            DataLimit = stalls && script.Stage is MailStage.Data or MailStage.Text ? brief : patient,
            ReceiptLimit = stalls && script.Stage == MailStage.Dot ? brief : patient,
        };
    }

    /// <summary>Longer than the buffers between the two ends, so that a fault in the text strikes before the dot is out.</summary>
    private static SealedLetter LongLetter()
    {
        SealedLetter letter = SmtpChannelTests.Letter();
        string line = new string('x', 70) + "\r\n";
        byte[] tail = Encoding.ASCII.GetBytes(new StringBuilder().Insert(0, line, 120_000).ToString());
        return letter with { Bytes = (byte[])[.. "Subject: long\r\n\r\n"u8, .. tail] };
    }
}

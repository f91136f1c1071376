using System.Net;
using System.Net.Sockets;
using System.Security.Authentication;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using GraftWatch.Rounds.Ports;
using MailKit.Net.Smtp;
using MailKit.Security;
using MimeKit;

namespace GraftWatch.Letters.Smtp;

/// <summary>One connection to the mail server; used by one letter at a time and thrown away after any failure.</summary>
internal sealed class SmtpLine : IDisposable
{
    private readonly MailOptions options;
    private readonly TimeProvider time;
    private readonly SmtpClient client;
    private readonly StageTracker tracker;
    private CancellationTokenSource? limit;

    public SmtpLine(MailOptions options, TimeProvider time)
    {
        this.options = options;
        this.time = time;
        tracker = new StageTracker(LimitStage);
        client = new SmtpClient(tracker)
        {
            // Above every limit of ours: the stage's own limit decides, see LimitStage.
            Timeout = (int)(options.ReceiptLimit + options.DataLimit + options.CommandLimit + options.ConnectLimit).TotalMilliseconds,
            LocalDomain = options.Domain,
            CheckCertificateRevocation = options.CheckRevocation,
            SslProtocols = SslProtocols.Tls12 | SslProtocols.Tls13,
        };
        if (options.CertificateSha256.Length > 0)
        {
            client.ServerCertificateValidationCallback = (_, certificate, _, _) => IsPinned(certificate);
        }
    }

    /// <summary>Letters handed over on this line.</summary>
    public int Letters { get; private set; }

    /// <summary>When the last letter was answered, by the time provider's timestamp.</summary>
    public long LastUsed { get; private set; }

    /// <summary>Whether the server had closed the line before anything of the letter left.</summary>
    public bool WasDead { get; private set; }

    /// <summary>Connects, secures the line and signs in.</summary>
    /// <returns>Null when ready, or why not.</returns>
    public Task<DeliveryResult?> OpenAsync(CancellationToken cancellationToken) => GuardAsync(
        async token =>
        {
            await client.ConnectAsync(await ConnectAsync(token), options.Host, options.Port, Security(), token);
            client.Capabilities &= ~(SmtpCapabilities.Chunking | SmtpCapabilities.BinaryMime);
            if (options.UserName.Length > 0)
            {
                tracker.StartSignIn();
                await client.AuthenticateAsync(new NetworkCredential(options.UserName, options.Password), token);
            }

            LastUsed = time.GetTimestamp();
            return null;
        },
        cancellationToken);

    /// <summary>Hands one letter over.</summary>
    public async Task<DeliveryResult> SendAsync(MimeMessage message, MailboxAddress sender, MailboxAddress recipient, CancellationToken cancellationToken)
    {
        tracker.StartLetter();
        DeliveryResult? result = await GuardAsync(
            async token => DeliveryResult.Accepted(Receipt(await client.SendAsync(message, sender, [recipient], token))),
            cancellationToken);
        Letters++;
        LastUsed = time.GetTimestamp();
        return result!;
    }

    /// <summary>Says goodbye, briefly; what comes of it changes nothing.</summary>
    public async Task CloseAsync()
    {
        using var brief = new CancellationTokenSource(TimeSpan.FromSeconds(2), time);
        try
        {
            if (client.IsConnected)
            {
                await client.DisconnectAsync(quit: true, brief.Token);
            }
        }
        catch (Exception e) when (e is IOException or SocketException or OperationCanceledException or TimeoutException or ObjectDisposedException or SmtpProtocolException or SmtpCommandException)
        {
            // The letters of this line have their receipts already.
        }
        finally
        {
            Dispose();
        }
    }

    public void Dispose()
    {
        client.Dispose();
        tracker.Dispose();
    }

    /// <summary>A socket that sends short commands at once; left to itself the system holds them back for tens of milliseconds each.</summary>
    private async Task<Socket> ConnectAsync(CancellationToken cancellationToken)
    {
        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        try
        {
            await socket.ConnectAsync(options.Host, options.Port, cancellationToken);
            return socket;
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }

    private async Task<DeliveryResult?> GuardAsync(Func<CancellationToken, Task<DeliveryResult?>> work, CancellationToken cancellationToken)
    {
        using var stageLimit = new CancellationTokenSource(Limit(tracker.Stage), time);
        using var both = CancellationTokenSource.CreateLinkedTokenSource(stageLimit.Token, cancellationToken);
        limit = stageLimit;
        try
        {
            return await work(both.Token);
        }
        catch (Exception e)
        {
            WasDead = tracker.Stage is SmtpStage.Ready or SmtpStage.Sender or SmtpStage.Recipient && !client.IsConnected && !both.IsCancellationRequested;
            bool timedOut = stageLimit.IsCancellationRequested && !cancellationToken.IsCancellationRequested;
            return SmtpVerdict.Of(tracker.Stage, e, timedOut, options);
        }
        finally
        {
            limit = null;
        }
    }

    private void LimitStage(SmtpStage stage) => limit?.CancelAfter(Limit(stage));

    private TimeSpan Limit(SmtpStage stage) => stage switch
    {
        SmtpStage.Connect => options.ConnectLimit,
        SmtpStage.Data or SmtpStage.Body => options.DataLimit,
        SmtpStage.Receipt => options.ReceiptLimit,
        _ => options.CommandLimit,
    };

    private SecureSocketOptions Security() => options.Security switch
    {
        MailSecurity.Tls => SecureSocketOptions.SslOnConnect,
        MailSecurity.None => SecureSocketOptions.None,
        _ => SecureSocketOptions.StartTls,
    };

    private bool IsPinned(X509Certificate? certificate) => certificate is not null
        && string.Equals(
            Convert.ToHexString(SHA256.HashData(certificate.GetRawCertData())),
            options.CertificateSha256.Replace(":", string.Empty, StringComparison.Ordinal),
            StringComparison.OrdinalIgnoreCase);

    private static string Receipt(string answer) => Wording.PlainWords.OneLine(answer, 400);
}

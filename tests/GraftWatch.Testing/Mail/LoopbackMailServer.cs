using System.Buffers;
using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using MimeKit;
using SmtpServer;
using SmtpServer.Authentication;
using SmtpServer.Mail;
using SmtpServer.Protocol;
using SmtpServer.Storage;

namespace GraftWatch.Testing.Mail;

/// <summary>A real mail server on the loopback address that keeps what it accepts.</summary>
public sealed class LoopbackMailServer : IAsyncDisposable
{
    private readonly CancellationTokenSource stop = new();
    private readonly Task running;
    private readonly Keeper keeper;

    private LoopbackMailServer(LoopbackMailOptions options)
    {
        Port = options.Port ?? FreePort();
        Certificate = options.Certificate;
        keeper = new Keeper(options);
        var provider = new SmtpServer.ComponentModel.ServiceProvider();
        provider.Add((IMessageStore)keeper);
        provider.Add((IMailboxFilter)keeper);
        provider.Add((IUserAuthenticator)keeper);
        var built = new SmtpServerOptionsBuilder()
            .ServerName("mail.loopback.example")
            .MaxMessageSize(10_000_000, MaxMessageSizeHandling.Strict)
            .Endpoint(e =>
            {
                e.Endpoint(new IPEndPoint(IPAddress.Loopback, Port)).AllowUnsecureAuthentication(false).AuthenticationRequired(options.Password is not null);
                if (options.Certificate is not null)
                {
                    e.Certificate(options.Certificate).IsSecure(options.TlsFromFirstByte);
                }
            })
            .Build();
        var server = new SmtpServer.SmtpServer(built, provider);
        server.SessionCreated += (_, _) => keeper.CountSession();
        running = server.StartAsync(stop.Token);
    }

    /// <summary>Port on 127.0.0.1.</summary>
    public int Port { get; }

    /// <summary>Certificate shown, or null for a server without TLS.</summary>
    public X509Certificate2? Certificate { get; }

    /// <summary>SHA-256 of the certificate in hexadecimal.</summary>
    public string CertificateSha256 => Certificate is null ? string.Empty : Convert.ToHexString(SHA256.HashData(Certificate.RawData));

    /// <summary>Connections so far.</summary>
    public int Sessions => keeper.Sessions;

    /// <summary>Texts that came whole so far, those too that are not answered yet.</summary>
    public int Whole => keeper.Whole;

    /// <summary>Texts that came whole and were refused after the final dot.</summary>
    public IReadOnlyCollection<byte[]> Refused => keeper.Refused;

    /// <summary>Accepted letters, in the order of their receipts.</summary>
    public IReadOnlyCollection<ReceivedLetter> Received => keeper.Received;

    /// <summary>Starts a server.</summary>
    public static LoopbackMailServer Start(LoopbackMailOptions? options = null) => new(options ?? new LoopbackMailOptions());

    /// <summary>A self-signed certificate for tests.</summary>
    public static X509Certificate2 MakeCertificate(string name = "localhost")
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var request = new CertificateRequest("CN=" + name, key, HashAlgorithmName.SHA256);
        var names = new SubjectAlternativeNameBuilder();
        names.AddDnsName(name);
        request.CertificateExtensions.Add(names.Build());
        using X509Certificate2 fresh = request.CreateSelfSigned(new DateTimeOffset(2020, 1, 1, 0, 0, 0, TimeSpan.Zero), new DateTimeOffset(2060, 1, 1, 0, 0, 0, TimeSpan.Zero));
        return X509CertificateLoader.LoadPkcs12(fresh.Export(X509ContentType.Pfx), null);
    }

    /// <summary>A port of the loopback address that was free a moment ago.</summary>
    public static int FreePort()
    {
        using var probe = new TcpListener(IPAddress.Loopback, 0);
        probe.Start();
        return ((IPEndPoint)probe.LocalEndpoint).Port;
    }

    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        try
        {
            await running;
        }
        catch (OperationCanceledException)
        {
        }

        stop.Dispose();
    }

    private sealed class Keeper(LoopbackMailOptions options) : MessageStore, IMailboxFilter, IUserAuthenticator
    {
        private readonly ConcurrentQueue<ReceivedLetter> received = new();
        private readonly ConcurrentQueue<byte[]> refused = new();
        private int sessions;
        private int whole;

        public int Sessions => Volatile.Read(ref sessions);

        public int Whole => Volatile.Read(ref whole);

        public IReadOnlyCollection<byte[]> Refused => refused;

        public IReadOnlyCollection<ReceivedLetter> Received => received;

        public void CountSession() => Interlocked.Increment(ref sessions);

        // The server library counts the line end before the final dot to the dot; RFC 5321, 4.1.1.4, counts it to the text.
        public override async Task<SmtpResponse> SaveAsync(ISessionContext context, IMessageTransaction transaction, ReadOnlySequence<byte> buffer, CancellationToken cancellationToken)
        {
            if (options.RefuseText is { } refuse)
            {
                refused.Enqueue([.. buffer.ToArray(), (byte)'\r', (byte)'\n']);
                return new SmtpResponse((SmtpReplyCode)refuse.Code, refuse.Words);
            }

            Interlocked.Increment(ref whole);
            if (options.TextTakes > TimeSpan.Zero)
            {
                await Task.Delay(options.TextTakes, cancellationToken);
            }

            string[] to = [.. transaction.To.Select(m => m.AsAddress())];
            received.Enqueue(new ReceivedLetter(transaction.From.AsAddress(), to, options.KeepBytes ? [.. buffer.ToArray(), (byte)'\r', (byte)'\n'] : [], context.Pipe.IsSecure));
            return new SmtpResponse(SmtpReplyCode.Ok, "2.0.0 kept");
        }

        public Task<bool> CanAcceptFromAsync(ISessionContext context, IMailbox from, int size, CancellationToken cancellationToken) => Task.FromResult(true);

        public Task<bool> CanDeliverToAsync(ISessionContext context, IMailbox to, IMailbox from, CancellationToken cancellationToken) =>
            options.RefuseRecipient is { } refuse
                ? throw new SmtpResponseException(new SmtpResponse((SmtpReplyCode)refuse.Code, refuse.Words))
                : Task.FromResult(true);

        public Task<bool> AuthenticateAsync(ISessionContext context, string user, string password, CancellationToken cancellationToken) =>
            Task.FromResult(user == options.UserName && password == options.Password);
    }
}

/// <summary>How the server behaves.</summary>
public sealed record LoopbackMailOptions
{
    /// <summary>Certificate for TLS; null offers none.</summary>
    public X509Certificate2? Certificate { get; init; }

    /// <summary>TLS from the first byte instead of STARTTLS.</summary>
    public bool TlsFromFirstByte { get; init; }

    /// <summary>User name that may sign in.</summary>
    public string UserName { get; init; } = "letters";

    /// <summary>Password asked for; null asks for no sign-in.</summary>
    public string? Password { get; init; }

    /// <summary>Answer to every recipient, or null to take them.</summary>
    public (int Code, string Words)? RefuseRecipient { get; init; }

    /// <summary>Answer to every text, or null to take it.</summary>
    public (int Code, string Words)? RefuseText { get; init; }

    /// <summary>How long the server takes over a text before it answers the final dot.</summary>
    public TimeSpan TextTakes { get; init; }

    /// <summary>Port to listen on; null for a free one.</summary>
    public int? Port { get; init; }

    /// <summary>Whether the bytes are kept; off for load.</summary>
    public bool KeepBytes { get; init; } = true;
}

/// <summary>A letter as it came over the line.</summary>
/// <param name="Sender">Envelope sender.</param>
/// <param name="Recipients">Envelope recipients.</param>
/// <param name="Bytes">Message, dots undone.</param>
/// <param name="WasSecure">Whether it came over TLS.</param>
public sealed record ReceivedLetter(string Sender, IReadOnlyList<string> Recipients, byte[] Bytes, bool WasSecure)
{
    /// <summary>The message, parsed.</summary>
    public MimeMessage Parse() => MimeMessage.Load(new MemoryStream(Bytes));
}

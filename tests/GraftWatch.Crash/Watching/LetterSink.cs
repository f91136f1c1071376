using System.Collections.Concurrent;
using System.Diagnostics;
using System.Net;
using System.Net.Security;
using System.Net.Sockets;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;

namespace GraftWatch.Crash.Watching;

/// <summary>A mail server in the watcher's own process: keeps a list of every letter it has whole, and kills the program at a stage of the talk when told.</summary>
public sealed class LetterSink : IAsyncDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource stop = new();
    private readonly ConcurrentQueue<SunkLetter> letters = new();
    private readonly Func<long> clock;
    private readonly Func<long> highest;
    private readonly Lazy<X509Certificate2> certificate = new(MakeCertificate);
    private readonly Task accepting;
    private KillOrder? order;
    private int talks;

    /// <summary>Starts the server.</summary>
    /// <param name="clock">The simulated time, Unix ticks.</param>
    /// <param name="highest">The latest time the clock ever showed; later than now after it was set back.</param>
    public LetterSink(Func<long> clock, Func<long> highest)
    {
        this.clock = clock;
        this.highest = highest;
        listener.Start();
        accepting = AcceptAsync();
    }

    /// <summary>Port on 127.0.0.1.</summary>
    public int Port => ((IPEndPoint)listener.LocalEndpoint).Port;

    /// <summary>Hash of the certificate that STARTTLS shows.</summary>
    public string CertificateSha256 => Convert.ToHexString(SHA256.HashData(certificate.Value.RawData));

    /// <summary>Letters so far, in the order they became whole.</summary>
    public IReadOnlyCollection<SunkLetter> Letters => letters;

    /// <summary>Number of the running life, noted with each letter.</summary>
    public int Life { get; set; }

    /// <summary>While it says so, every letter is answered 451 at MAIL.</summary>
    public Func<bool> BusyWhen { get; set; } = () => false;

    /// <summary>While set, every letter is answered 451 at MAIL.</summary>
    public bool Busy
    {
        get => BusyWhen();
        set => BusyWhen = () => value;
    }

    /// <summary>Commands nobody expected.</summary>
    public ConcurrentQueue<string> Surprises { get; } = new();

    /// <summary>Kills a process when a stage is reached for the n-th time from now; null for no more.</summary>
    public void KillAt(SinkStage? stage, int times = 1, Process? victim = null) => order = stage is { } at && victim is not null ? new KillOrder(at, victim) { Left = times } : null;

    /// <summary>Waits until everything a dead program had sent is read.</summary>
    public async Task DrainAsync()
    {
        while (listener.Pending() || Volatile.Read(ref talks) > 0)
        {
            await Task.Delay(1);
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        listener.Stop();
        await accepting;
        stop.Dispose();
        if (certificate.IsValueCreated)
        {
            certificate.Value.Dispose();
        }
    }

    private static X509Certificate2 MakeCertificate()
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var request = new CertificateRequest("CN=127.0.0.1", key, HashAlgorithmName.SHA256);
        using X509Certificate2 made = request.CreateSelfSigned(DateTimeOffset.UtcNow.AddDays(-1), DateTimeOffset.UtcNow.AddYears(20));
        return X509CertificateLoader.LoadPkcs12(made.Export(X509ContentType.Pkcs12), null);
    }

    private async Task AcceptAsync()
    {
        try
        {
            while (true)
            {
                TcpClient client = await listener.AcceptTcpClientAsync(stop.Token);
                client.NoDelay = true;
                Interlocked.Increment(ref talks);
                _ = TalkAsync(client);
            }
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
        {
        }
    }

    private async Task TalkAsync(TcpClient client)
    {
        using (client)
        {
            try
            {
                await new Talk(this, client.GetStream()).RunAsync();
            }
            catch (Exception e) when (e is IOException or SocketException or OperationCanceledException or ObjectDisposedException or System.Security.Authentication.AuthenticationException)
            {
            }
            finally
            {
                Interlocked.Decrement(ref talks);
            }
        }
    }

    private void At(SinkStage stage)
    {
        if (order is { } given && given.Stage == stage && Interlocked.Decrement(ref given.Left) == 0)
        {
            given.Victim.Kill();
        }
    }

    private SunkLetter Keep(string recipient, byte[] bytes)
    {
        var letter = SunkLetter.Of(recipient, bytes, Life, clock()) with { HighestAt = highest() };
        letters.Enqueue(letter);
        return letter;
    }

    private sealed class KillOrder(SinkStage stage, Process victim)
    {
        public int Left;

        public SinkStage Stage => stage;

        public Process Victim => victim;
    }

    private sealed class Talk(LetterSink sink, Stream plain)
    {
        private readonly byte[] buffer = new byte[8192];
        private Stream stream = plain;
        private int start;
        private int end;
        private string recipient = string.Empty;

        internal async Task RunAsync()
        {
            sink.At(SinkStage.Connected);
            await SayAsync("220 sink.example");
            sink.At(SinkStage.Greeted);
            while (await LineAsync() is { } line && await AnswerAsync(line))
            {
            }
        }

        private async Task<bool> AnswerAsync(string line)
        {
            switch (line.Split(' ', ':')[0].ToUpperInvariant())
            {
                case "EHLO":
                    sink.At(SinkStage.Hello);
                    await SayAsync($"250-sink.example\r\n250-8BITMIME\r\n250-PIPELINING\r\n{(stream is SslStream ? "250 AUTH PLAIN" : "250 STARTTLS")}");
                    return true;
                case "STARTTLS":
                    sink.At(SinkStage.StartTls);
                    await SayAsync("220 go ahead");
                    var secure = new SslStream(stream);
                    await secure.AuthenticateAsServerAsync(sink.certificate.Value);
                    stream = secure;
                    sink.At(SinkStage.Secured);
                    return true;
                case "AUTH":
                    sink.At(SinkStage.SignIn);
                    await SayAsync("235 2.7.0 welcome");
                    return true;
                case "MAIL":
                    sink.At(SinkStage.Sender);
                    await SayAsync(sink.Busy ? "451 4.3.0 later" : "250 2.1.0 sender fine");
                    return true;
                case "RCPT":
                    recipient = line[(line.IndexOf('<', StringComparison.Ordinal) + 1)..line.IndexOf('>', StringComparison.Ordinal)];
                    sink.At(SinkStage.Recipient);
                    await SayAsync(sink.Busy ? "503 5.5.1 no sender" : "250 2.1.5 recipient fine");
                    return true;
                case "DATA":
                    sink.At(SinkStage.Data);
                    bool busy = sink.Busy;
                    await SayAsync(busy ? "503 5.5.1 no sender" : "354 go on");
                    return busy || await TextAsync();
                case "RSET" or "NOOP":
                    await SayAsync("250 2.0.0 fine");
                    return true;
                case "QUIT":
                    sink.At(SinkStage.Quit);
                    await SayAsync("221 bye");
                    return false;
                default:
                    sink.Surprises.Enqueue(line);
                    await SayAsync("500 5.5.2 what?");
                    return true;
            }
        }

        private async Task<bool> TextAsync()
        {
            var text = new MemoryStream();
            int lines = 0;
            while (await LineAsync() is { } line)
            {
                if (line == ".")
                {
                    SunkLetter letter = sink.Keep(recipient, text.ToArray());
                    sink.At(SinkStage.Dot);
                    await SayAsync("250 2.0.0 kept");
                    letter.SaidAt = Stopwatch.GetTimestamp();
                    sink.At(SinkStage.Answered);
                    return true;
                }

                text.Write(Encoding.Latin1.GetBytes(line.StartsWith('.') ? line[1..] : line));
                text.Write("\r\n"u8);
                if (++lines == 12)
                {
                    sink.At(SinkStage.Text);
                }
            }

            return false;
        }

        private async Task SayAsync(string words)
        {
            await stream.WriteAsync(Encoding.Latin1.GetBytes(words + "\r\n"), sink.stop.Token);
            await stream.FlushAsync(sink.stop.Token);
        }

        private async Task<string?> LineAsync()
        {
            var line = new StringBuilder();
            while (true)
            {
                while (start < end)
                {
                    char c = (char)buffer[start++];
                    if (c == '\n')
                    {
                        return line.Length > 0 && line[^1] == '\r' ? line.ToString(0, line.Length - 1) : line.ToString();
                    }

                    line.Append(c);
                }

                start = 0;
                end = await stream.ReadAsync(buffer, sink.stop.Token);
                if (end == 0)
                {
                    return null;
                }
            }
        }
    }
}

/// <summary>Where in the talk the program is killed.</summary>
public enum SinkStage
{
    Connected = 0,
    Greeted,
    Hello,
    StartTls,
    Secured,
    SignIn,
    Sender,
    Recipient,
    Data,
    Text,
    Dot,
    Answered,
    Quit,
}

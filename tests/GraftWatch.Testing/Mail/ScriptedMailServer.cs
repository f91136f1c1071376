using System.Collections.Concurrent;
using System.Net;
using System.Net.Security;
using System.Net.Sockets;
using System.Security.Cryptography.X509Certificates;
using System.Text;

namespace GraftWatch.Testing.Mail;

/// <summary>A mail server that misbehaves at one stage of one letter, exactly as told, and remembers what it has.</summary>
/// <remarks>A command out of order is a surprise and is kept in <see cref="Surprises"/>; tests assert that there is none.</remarks>
public sealed class ScriptedMailServer : IAsyncDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource stop = new();
    private readonly MailScript script;
    private readonly Task accepting;
    private readonly ConcurrentBag<TcpClient> clients = [];
    private int connections;
    private int whole;
    private int acknowledged;
    private int faults;

    private ScriptedMailServer(MailScript script)
    {
        this.script = script;
        listener.Server.ReceiveBufferSize = 4096;
        listener.Start();
        accepting = AcceptAsync();
    }

    /// <summary>Port on 127.0.0.1.</summary>
    public int Port => ((IPEndPoint)listener.LocalEndpoint).Port;

    /// <summary>Connections so far.</summary>
    public int Connections => Volatile.Read(ref connections);

    /// <summary>Letters the server has whole, acknowledged or not.</summary>
    public int Whole => Volatile.Read(ref whole);

    /// <summary>Letters the server said 250 to.</summary>
    public int Acknowledged => Volatile.Read(ref acknowledged);

    /// <summary>How often the fault struck.</summary>
    public int Faults => Volatile.Read(ref faults);

    /// <summary>Commands nobody expected.</summary>
    public ConcurrentQueue<string> Surprises { get; } = new();

    /// <summary>Starts a server.</summary>
    public static ScriptedMailServer Start(MailScript script) => new(script);

    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        listener.Stop();
        foreach (TcpClient client in clients)
        {
            client.Dispose();
        }

        await accepting;
        stop.Dispose();
    }

    private async Task AcceptAsync()
    {
        var talks = new List<Task>();
        try
        {
            while (true)
            {
                TcpClient client = await listener.AcceptTcpClientAsync(stop.Token);
                client.NoDelay = true;
                clients.Add(client);
                Interlocked.Increment(ref connections);
                talks.Add(TalkAsync(client));
            }
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException or InvalidOperationException)
        {
        }

        await Task.WhenAll(talks);
    }

    private async Task TalkAsync(TcpClient client)
    {
        try
        {
            using (client)
            {
                await new Talk(this, client).RunAsync();
            }
        }
        catch (Exception e) when (e is IOException or SocketException or OperationCanceledException or ObjectDisposedException or FaultEndedTheLineException)
        {
        }
    }

    private sealed class FaultEndedTheLineException : Exception;

    private sealed class Talk(ScriptedMailServer server, TcpClient client)
    {
        private Stream stream = client.GetStream();
        private readonly byte[] buffer = new byte[4096];
        private int start;
        private int end;
        private int letters;
        private bool hasSender;
        private bool hasRecipient;

        public async Task RunAsync()
        {
            if (!await FaultAsync(MailStage.Greeting))
            {
                await SayAsync("220 scripted.example ready");
            }

            while (await LineAsync() is { } line)
            {
                if (!await AnswerAsync(line))
                {
                    return;
                }
            }
        }

        private async Task<bool> AnswerAsync(string line)
        {
            string verb = line.Split(' ')[0].ToUpperInvariant();
            switch (verb)
            {
                case "EHLO" or "HELO":
                    await HelloAsync(verb);
                    return true;
                case "STARTTLS":
                    await SayAsync("220 go ahead");
                    var secure = new SslStream(stream);
                    await secure.AuthenticateAsServerAsync(server.script.Certificate!);
                    stream = secure;
                    return true;
                case "AUTH":
                    if (!await FaultAsync(MailStage.SignIn))
                    {
                        await SayAsync("235 2.7.0 welcome");
                    }

                    return true;
                case "RSET":
                    hasSender = hasRecipient = false;
                    await SayAsync("250 2.0.0 flushed");
                    return true;
                case "QUIT":
                    if (!await FaultAsync(MailStage.Quit))
                    {
                        await SayAsync("221 bye");
                    }

                    return false;
                default:
                    return await LetterAsync(verb, line);
            }
        }

        private async Task HelloAsync(string verb)
        {
            if (await FaultAsync(MailStage.Hello))
            {
                return;
            }

            var lines = new List<string> { "scripted.example" };
            if (verb == "EHLO")
            {
                lines.AddRange(server.script.Pipelining ? ["PIPELINING", "8BITMIME", "SIZE 40000000"] : ["8BITMIME", "SIZE 40000000"]);
                if (server.script.Certificate is not null && stream is not SslStream)
                {
                    lines.Add("STARTTLS");
                }
                else
                {
                    lines.Add("AUTH PLAIN");
                }
            }

            await SayAsync(string.Join("\r\n", lines.Select((l, i) => (i == lines.Count - 1 ? "250 " : "250-") + l)));
        }

        private async Task<bool> LetterAsync(string verb, string line)
        {
            switch (verb)
            {
                case "MAIL":
                    letters++;
                    hasSender = false;
                    if (!await FaultAsync(MailStage.Sender))
                    {
                        hasSender = true;
                        await SayAsync("250 2.1.0 sender fine");
                    }

                    return true;
                case "RCPT":
                    hasRecipient = false;
                    if (!hasSender)
                    {
                        await SayAsync("503 5.5.1 no sender");
                    }
                    else if (!await FaultAsync(MailStage.Recipient))
                    {
                        hasRecipient = true;
                        await SayAsync("250 2.1.5 recipient fine");
                    }

                    return true;
                case "DATA":
                    if (!hasRecipient)
                    {
                        await SayAsync("503 5.5.1 no recipient");
                    }
                    else if (!await FaultAsync(MailStage.Data))
                    {
                        await SayAsync("354 go on");
                        await TextAsync();
                    }

                    return true;
                default:
                    server.Surprises.Enqueue(line);
                    await SayAsync("500 5.5.2 what?");
                    return true;
            }
        }

        private async Task TextAsync()
        {
            bool struck = false;
            int lines = 0;
            while (await LineAsync() is { } line)
            {
                if (line == ".")
                {
                    Interlocked.Increment(ref server.whole);
                    hasSender = hasRecipient = false;
                    if (!struck && !await FaultAsync(MailStage.Dot))
                    {
                        Interlocked.Increment(ref server.acknowledged);
                        await SayAsync("250 2.0.0 kept");
                    }

                    return;
                }

                struck |= ++lines == 10 && await FaultAsync(MailStage.Text);
            }
        }

        /// <summary>Strikes when stage and letter match; true when an answer was given in place of the usual one.</summary>
        private async Task<bool> FaultAsync(MailStage stage)
        {
            if (server.script.Stage != stage || (stage >= MailStage.Sender && stage != MailStage.Quit && letters != server.script.Letter))
            {
                return false;
            }

            Interlocked.Increment(ref server.faults);
            switch (server.script.Fault)
            {
                case MailFault.Close:
                    client.Close();
                    throw new FaultEndedTheLineException();
                case MailFault.Reset:
                    client.Client.LingerState = new LingerOption(true, 0);
                    client.Client.Close();
                    throw new FaultEndedTheLineException();
                case MailFault.Stall:
                    await Task.Delay(Timeout.Infinite, server.stop.Token);
                    return true;
                case MailFault.Garbage:
                    await SayAsync("\u0001\u0002 what is this");
                    return true;
                default:
                    int code = (int)server.script.Fault;
                    await SayAsync($"{code} scripted {code}");
                    if (code == 421)
                    {
                        client.Close();
                        throw new FaultEndedTheLineException();
                    }

                    return true;
            }
        }

        private async Task SayAsync(string words)
        {
            await stream.WriteAsync(Encoding.Latin1.GetBytes(words + "\r\n"), server.stop.Token);
            await stream.FlushAsync(server.stop.Token);
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
                end = await stream.ReadAsync(buffer, server.stop.Token);
                if (end == 0)
                {
                    return null;
                }
            }
        }
    }
}

/// <summary>What the server does wrong, and where.</summary>
/// <param name="Stage">At which stage.</param>
/// <param name="Fault">What.</param>
/// <param name="Letter">For stages of a letter: the how-manieth on its line, from 1.</param>
/// <param name="Pipelining">Whether PIPELINING is offered (RFC 2920).</param>
/// <param name="Certificate">Certificate for STARTTLS, or null for none.</param>
public sealed record MailScript(MailStage Stage, MailFault Fault, int Letter = 1, bool Pipelining = true, X509Certificate2? Certificate = null);

/// <summary>Where a fault strikes.</summary>
public enum MailStage
{
    Never = 0,
    Greeting,
    Hello,
    SignIn,
    Sender,
    Recipient,
    Data,
    Text,
    Dot,
    Quit,
}

/// <summary>What goes wrong; a number is a reply with that code.</summary>
public enum MailFault
{
    Close = 0,
    Reset,
    Stall,
    Garbage,
    Reply421 = 421,
    Reply451 = 451,
    Reply452 = 452,
    Reply550 = 550,
    Reply554 = 554,
}

using System.Globalization;
using System.Net.Sockets;
using System.Text;

namespace GraftWatch.Serving.Systemd;

/// <summary>Tells a service manager how the daemon stands, by the protocol of <c>sd_notify(3)</c>: one datagram of NAME=value lines to the socket it names.</summary>
internal sealed class ServiceManager : IDisposable
{
    private readonly Socket socket = new(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
    private readonly UnixDomainSocketEndPoint address;

    private ServiceManager(string path, TimeSpan? watchdog)
    {
        // A name that begins with @ is abstract: it is no file, and its first byte is zero.
        address = new UnixDomainSocketEndPoint(path[0] == '@' ? '\0' + path[1..] : path);
        Watchdog = watchdog;
    }

    /// <summary>How soon at the latest the manager wants a sign of life; null when it does not watch.</summary>
    internal TimeSpan? Watchdog { get; }

    /// <summary>The manager that started this process; null when none did.</summary>
    /// <param name="environment">Reads an environment variable.</param>
    internal static ServiceManager? Find(Func<string, string?> environment)
    {
        if (environment("NOTIFY_SOCKET") is not { Length: > 1 } path || path[0] is not ('/' or '@'))
        {
            return null;
        }

        bool isForUs = environment("WATCHDOG_PID") is not { Length: > 0 } pid || pid == Environment.ProcessId.ToString(CultureInfo.InvariantCulture);
        bool watches = long.TryParse(environment("WATCHDOG_USEC"), NumberStyles.None, CultureInfo.InvariantCulture, out long microseconds) && microseconds > 0;
        return new ServiceManager(path, watches && isForUs ? TimeSpan.FromMicroseconds(microseconds) : null);
    }

    /// <summary>The daemon does its work from now on.</summary>
    internal void Ready(string status) => Send("READY=1\nSTATUS=" + OneLine(status));

    /// <summary>The start takes longer, and why.</summary>
    internal void Patience(TimeSpan longer, string status) => Send(string.Create(CultureInfo.InvariantCulture, $"EXTEND_TIMEOUT_USEC={(long)longer.TotalMicroseconds}\nSTATUS={OneLine(status)}"));

    /// <summary>How it stands, for people.</summary>
    internal void Status(string status) => Send("STATUS=" + OneLine(status));

    /// <summary>A sign of life.</summary>
    internal void Alive() => Send("WATCHDOG=1");

    /// <summary>The daemon ends.</summary>
    internal void Stopping() => Send("STOPPING=1");

    public void Dispose() => socket.Dispose();

    private static string OneLine(string text) => text.ReplaceLineEndings(" ");

    private void Send(string message)
    {
        try
        {
            socket.SendTo(Encoding.UTF8.GetBytes(message), address);
        }
        catch (SocketException)
        {
            // Letters do not depend on whether the manager listens; if it watches, it will notice by itself.
        }
    }
}

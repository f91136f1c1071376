using System.Net;
using System.Net.Sockets;

namespace GraftWatch.Serving;

/// <summary>Looks whether the daemon can listen where it is to, before anything is started: the host tells the same with a page of stack.</summary>
internal static class FreePorts
{
    /// <summary>Why an address cannot be listened on; null when it can.</summary>
    /// <param name="listen">Address and port; null for none.</param>
    /// <param name="setting">The setting or option it comes from.</param>
    internal static string? Trouble(string? listen, string setting)
    {
        if (listen is null || !IPEndPoint.TryParse(listen, out IPEndPoint? end))
        {
            return null;
        }

        try
        {
            using var probe = new Socket(end.AddressFamily, SocketType.Stream, ProtocolType.Tcp);
            probe.Bind(end);
            probe.Listen(1);
            return null;
        }
        catch (SocketException taken) when (taken.SocketErrorCode == SocketError.AddressAlreadyInUse)
        {
            return $"{setting}: {listen} is taken by another program. End it, or write another port.";
        }
        catch (SocketException cannot)
        {
            return $"{setting}: {listen} cannot be listened on ({cannot.Message}). Write an address of this machine, such as 127.0.0.1:8620; ports below 1024 are kept for the superuser.";
        }
    }
}

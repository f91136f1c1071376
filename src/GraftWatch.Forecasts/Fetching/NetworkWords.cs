using System.Net.Sockets;
using System.Security.Authentication;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Says in a few words why no whole reply came over the network.</summary>
internal static class NetworkWords
{
    public static string Of(string host, Exception exception)
    {
        for (Exception? at = exception; at is not null; at = at.InnerException)
        {
            switch (at)
            {
                case SocketException { SocketErrorCode: SocketError.HostNotFound or SocketError.TryAgain or SocketError.NoData }:
                    return $"the name {host} could not be found; is there a network?";
                case SocketException { SocketErrorCode: SocketError.ConnectionRefused }:
                    return $"{host} takes no connection";
                case SocketException { SocketErrorCode: SocketError.NetworkUnreachable or SocketError.HostUnreachable or SocketError.NetworkDown }:
                    return $"there is no way to {host}; is there a network?";
                case AuthenticationException:
                    return $"no secure connection to {host} could be made; check this machine's date and certificates";
                case InvalidDataException:
                    return $"{host} sent a damaged compressed reply";
                case HttpIOException { HttpRequestError: HttpRequestError.ResponseEnded }:
                    return $"{host} broke off in the middle of its reply";
                default:
                    continue;
            }
        }

        return $"the connection to {host} broke";
    }
}

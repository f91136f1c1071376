using System.Net;

namespace GraftWatch.Pages.People;

/// <summary>Where the operator may come from while nobody is named: this machine, with no <c>[operator]</c>, no public address, no proxy.</summary>
/// <remarks>
/// It is no proof. A forwarder on the same machine also comes from the loopback address and need not say so; so who comes from here
/// shows in <see cref="MachineDesk"/> that they can read what the program writes. What smells of a proxy is not even asked.
/// </remarks>
internal static class AtTheMachine
{
    private static readonly string[] SignsOfAProxy =
        ["Via", "Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Forwarded-Proto", "X-Forwarded-Server", "X-Real-IP", "CF-Connecting-IP", "True-Client-IP"];

    /// <summary>Whether the settings leave it to the machine who the operator is.</summary>
    internal static bool IsWhatCounts(SiteOptions options) => options is { OperatorAddress: null, PublicAddress: null, TrustedProxies.Count: 0 };

    /// <summary>Whether a request may come from somebody at the machine.</summary>
    internal static bool IsHere(HttpContext http, SiteOptions options) =>
        IsWhatCounts(options)
        && http.Connection.RemoteIpAddress is { } from && IPAddress.IsLoopback(from)
        && http.Connection.LocalIpAddress is { } at && IPAddress.IsLoopback(at)
        && IsOurName(http.Request.Host.Host)
        && !HttpProtocol.IsHttp10(http.Request.Protocol)
        && !SignsOfAProxy.Any(http.Request.Headers.ContainsKey);

    private static bool IsOurName(string host) =>
        string.Equals(host, "localhost", StringComparison.OrdinalIgnoreCase) || (IPAddress.TryParse(host.Trim('[', ']'), out IPAddress? literal) && IPAddress.IsLoopback(literal));
}

using System.Net;

namespace GraftWatch.Pages.People;

/// <summary>Who sits at the machine itself runs the program, as long as nobody else is named: no <c>[operator]</c>, no public address, no proxy.</summary>
/// <remarks>
/// A proxy on the same machine also comes from the loopback address, so anything that smells of one ends this right. On a machine
/// that several people use, name the operator.
/// </remarks>
internal static class AtTheMachine
{
    private static readonly string[] SignsOfAProxy =
        ["Via", "Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Forwarded-Proto", "X-Forwarded-Server", "X-Real-IP", "CF-Connecting-IP", "True-Client-IP"];

    /// <summary>The operator by place; null for everybody else.</summary>
    internal static SignedIn? Who(HttpContext http, SiteOptions options) =>
        options is { OperatorAddress: null, PublicAddress: null, TrustedProxies.Count: 0 }
        && http.Connection.RemoteIpAddress is { } from && IPAddress.IsLoopback(from)
        && http.Connection.LocalIpAddress is { } at && IPAddress.IsLoopback(at)
        && IsOurName(http.Request.Host.Host)
        && !HttpProtocol.IsHttp10(http.Request.Protocol)
        && !SignsOfAProxy.Any(http.Request.Headers.ContainsKey)
            ? new SignedIn(string.Empty, 0, null, IsOperator: true, IsKeptInFile: false, null)
            : null;

    private static bool IsOurName(string host) =>
        string.Equals(host, "localhost", StringComparison.OrdinalIgnoreCase) || (IPAddress.TryParse(host.Trim('[', ']'), out IPAddress? literal) && IPAddress.IsLoopback(literal));
}

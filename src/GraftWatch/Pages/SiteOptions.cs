using System.Net;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Pages;

/// <summary>What the settings say about the pages.</summary>
internal sealed record SiteOptions
{
    /// <summary>Address under which growers reach the pages, perhaps with a path; null when only this machine does.</summary>
    internal Uri? PublicAddress { get; init; }

    /// <summary>Proxies whose word about the caller's address, host and scheme is taken.</summary>
    internal IReadOnlyList<IPNetwork> TrustedProxies { get; init; } = [];

    /// <summary>Whether anyone may subscribe.</summary>
    internal bool IsOpen { get; init; }

    /// <summary>Mail address of the operator; null when none is set.</summary>
    internal string? OperatorAddress { get; init; }

    /// <summary>Where places are found by name; null when they are given by coordinates only.</summary>
    internal Uri? Geocoder { get; init; }

    /// <summary>What the settings in force say.</summary>
    internal static SiteOptions From(GraftWatchSettings installation) => new()
    {
        PublicAddress = installation.Page.PublicAddress,
        TrustedProxies = installation.Page.TrustedProxies,
        IsOpen = installation.Page.Subscriptions,
        OperatorAddress = installation.OperatorAddress,
        Geocoder = installation.Page.Geocoder,
    };

    /// <summary>The path of the public address without a slash at its end, such as <c>/grafts</c>; empty at the root.</summary>
    internal string PathBase => PublicAddress?.AbsolutePath.TrimEnd('/') ?? string.Empty;

    /// <summary>Whether a request for this host is meant for us.</summary>
    /// <param name="host">Host name or address of the request, without a port.</param>
    /// <param name="reached">The address of this machine the request came to.</param>
    internal bool IsOurHost(string host, IPAddress? reached)
    {
        if (string.Equals(host, PublicAddress?.Host, StringComparison.OrdinalIgnoreCase) || string.Equals(host, "localhost", StringComparison.OrdinalIgnoreCase))
        {
            return true;
        }

        // A name that is not ours could be rebound to this machine; its bare address cannot.
        return IPAddress.TryParse(host.Trim('[', ']'), out IPAddress? literal)
            && (IPAddress.IsLoopback(literal) || (reached is not null && literal.MapToIPv6().Equals(reached.MapToIPv6())));
    }
}

using System.Net;
using GraftWatch.Serving;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;

namespace GraftWatch.Pages;

/// <summary>Where the pages answer while the settings name no public address.</summary>
internal sealed class OwnAddress(ServeParts parts, IServer server)
{
    /// <summary>What links lead to; on an address that means every one of this machine, the one that is always there.</summary>
    internal Uri Root
    {
        get
        {
            IPEndPoint wanted = IPEndPoint.Parse(parts.Listen ?? Settings.Installation.PageSettings.UsualListen);
            IPAddress address = wanted.Address.Equals(IPAddress.Any) ? IPAddress.Loopback : wanted.Address.Equals(IPAddress.IPv6Any) ? IPAddress.IPv6Loopback : wanted.Address;
            // The listener of the pages is opened first; a port that was left to the system is known only then.
            int port = wanted.Port != 0 ? wanted.Port : server.Features.Get<IServerAddressesFeature>()?.Addresses.FirstOrDefault() is { } first ? new Uri(first).Port : 0;
            return new Uri("http://" + new IPEndPoint(address, port));
        }
    }
}

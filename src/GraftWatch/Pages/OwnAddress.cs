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
            IPEndPoint wanted = Listening.Reached(IPEndPoint.Parse(parts.Listen ?? Settings.Installation.PageSettings.UsualListen));
            // The listener of the pages is opened first; a port that was left to the system is known only then.
            int port = wanted.Port != 0 ? wanted.Port : server.Features.Get<IServerAddressesFeature>()?.Addresses.FirstOrDefault() is { } first ? new Uri(first).Port : 0;
            return new Uri("http://" + new IPEndPoint(wanted.Address, port));
        }
    }
}

using System.Net;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Serving;

/// <summary>What an address to listen on means for links.</summary>
internal static class Listening
{
    /// <summary>Whether other machines reach the pages while nothing says by which address, so that links lead to this machine only.</summary>
    internal static bool LacksPublicAddress(string listen, PageSettings page) =>
        page.PublicAddress is null && IPEndPoint.TryParse(listen, out IPEndPoint? point) && IsEvery(point.Address);

    /// <summary>The address of the pages that works on this machine, as people type it.</summary>
    internal static string OnThisMachine(string listen) => "http://" + Reached(IPEndPoint.Parse(listen));

    /// <summary>For an address that means every one of this machine, the one that is always there.</summary>
    internal static IPEndPoint Reached(IPEndPoint point) => !IsEvery(point.Address) ? point
        : new IPEndPoint(point.Address.Equals(IPAddress.Any) ? IPAddress.Loopback : IPAddress.IPv6Loopback, point.Port);

    private static bool IsEvery(IPAddress address) => address.Equals(IPAddress.Any) || address.Equals(IPAddress.IPv6Any);
}

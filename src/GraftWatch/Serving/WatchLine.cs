using System.Net;
using Microsoft.AspNetCore.Connections.Features;
using Microsoft.AspNetCore.Server.Kestrel.Core;

namespace GraftWatch.Serving;

/// <summary>The daemon's second ear: health with its reasons, and metrics, on this machine only and apart from the pages.</summary>
/// <remarks>
/// A reverse proxy makes every caller look as if from this machine, so an address alone proves nothing; what came in on this
/// listener, and only that, may see names of growers and places.
/// </remarks>
internal static class WatchLine
{
    private const string Mark = "graftwatch.watch";

    /// <summary>Opens the listeners: one for pages where there are any, one for watching where it is wanted.</summary>
    internal static void Listen(KestrelServerOptions options, ServeParts parts)
    {
        options.AddServerHeader = false;
        if (parts.Listen is { } pages)
        {
            options.Listen(IPEndPoint.Parse(pages));
        }

        if (parts.Watch is { } watch)
        {
            options.Listen(IPEndPoint.Parse(watch), line => line.Use(next => connection =>
            {
                connection.Items[Mark] = true;
                return next(connection);
            }));
        }
    }

    /// <summary>Whether a request came in on the listener for watching, from this machine, by its own name and through no proxy.</summary>
    /// <remarks>A page in a browser here can have its own name resolved to this machine and read the answers; the name it asked by gives it away.</remarks>
    internal static bool IsOurs(HttpContext context) =>
        context.Features.Get<IConnectionItemsFeature>()?.Items.ContainsKey(Mark) == true
        && context.Connection.RemoteIpAddress is { } remote && IPAddress.IsLoopback(remote)
        && IsThisMachine(context.Request.Host.Host)
        && !context.Request.Headers.ContainsKey("X-Forwarded-For") && !context.Request.Headers.ContainsKey("Forwarded");

    /// <summary>Whether a request came in on the listener for watching at all.</summary>
    internal static bool IsWatch(HttpContext context) => context.Features.Get<IConnectionItemsFeature>()?.Items.ContainsKey(Mark) == true;

    private static bool IsThisMachine(string name) =>
        name.Equals("localhost", StringComparison.OrdinalIgnoreCase) || (IPAddress.TryParse(name, out IPAddress? address) && IPAddress.IsLoopback(address));

    /// <summary>What is wrong with an address to watch at; null when it is right.</summary>
    internal static string? Fault(string watch) =>
        !IPEndPoint.TryParse(watch, out IPEndPoint? point) || !watch.Contains(':', StringComparison.Ordinal) ? $"--watch: '{watch}' is no address and port such as 127.0.0.1:8621."
        : !IPAddress.IsLoopback(point.Address) ? $"--watch: {watch} is not an address of this machine only. Metrics and the reasons of /ready name growers; let whatever reads them run here, or forward the port."
        : null;
}

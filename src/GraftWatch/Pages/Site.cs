using System.Diagnostics.CodeAnalysis;
using GraftWatch.Pages.Assets;
using GraftWatch.Pages.FromLetters;
using GraftWatch.Pages.Operator;
using GraftWatch.Pages.People;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;
using GraftWatch.Pages.Today;
using GraftWatch.Records;
using GraftWatch.Serving;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.HttpOverrides;
using Microsoft.AspNetCore.Server.Kestrel.Core;

namespace GraftWatch.Pages;

/// <summary>Puts the pages together.</summary>
internal static class Site
{
    private static readonly TimeSpan LongestAnswer = TimeSpan.FromSeconds(30);

    /// <summary>Bounds of the line: slow and greedy callers hold nothing up.</summary>
    internal static void Bound(KestrelServerOptions server)
    {
        server.AddServerHeader = false;
        server.Limits.RequestHeadersTimeout = TimeSpan.FromSeconds(10);
        server.Limits.MaxRequestHeadersTotalSize = 16 * 1024;
        server.Limits.MaxRequestBodySize = PageRoutes.FormLimit;
        server.Limits.MaxConcurrentConnections = 1000;
    }

    /// <summary>Registers what pages need, and every group of pages.</summary>
    internal static void AddSite(this IServiceCollection services, ServeParts parts)
    {
        services.AddFrame(parts);
        services.AddPeoplePages(parts);
        services.AddLetterPages(parts);
        services.AddGrowerPages();
        services.AddOperatorPages(parts);
    }

    /// <summary>Registers what every page needs: routes, guards, seals, who asks.</summary>
    internal static void AddFrame(this IServiceCollection services, ServeParts parts)
    {
        services.AddRoutingCore();
        services.AddRequestTimeouts(options => options.DefaultPolicy = new() { Timeout = LongestAnswer });
        services.AddSingleton<RecordsStore>(parts.Store);
        services.AddSingleton<Func<SiteOptions>>(() => SiteOptions.From(parts.Settings.Current.Installation));
        services.AddSingleton(provider => new OwnAddress(parts, provider.GetRequiredService<IServer>()));
        services.AddSingleton<SiteSecret>();
        services.AddSingleton<FormSeal>();
        services.AddSingleton<Limits>();
        services.AddSingleton(provider => new PlaceSearch(parts.LineClock, provider.GetRequiredService<ILogger<PlaceSearch>>()));
        services.AddSingleton<PlaceFinder>();
        services.AddSingleton<GrowerDirectory>();
        services.AddSingleton<MachineDesk>();
        services.AddSingleton<Visitors>();
        services.AddSingleton<Guard>();
    }

    /// <summary>Registers a group of pages.</summary>
    internal static void AddPages<[DynamicallyAccessedMembers(DynamicallyAccessedMemberTypes.PublicConstructors)] T>(this IServiceCollection services)
        where T : class, IPageGroup => services.AddSingleton<IPageGroup, T>();

    /// <summary>Maps the pages. What is mapped before, such as the health page, is not theirs.</summary>
    internal static void MapSite(this WebApplication application)
    {
        SiteOptions options = application.Services.GetRequiredService<Func<SiteOptions>>()();
        Guard guard = application.Services.GetRequiredService<Guard>();
        if (options.TrustedProxies.Count > 0)
        {
            application.UseForwardedHeaders(Forwarded(options));
        }

        application.Use((http, next) => guard.InvokeAsync(http, next));
        application.UseRouting();
        application.UseRequestTimeouts();
        IPageGroup[] groups = [.. application.Services.GetServices<IPageGroup>()];
        AssetFiles.Map(application);
        var routes = new PageRoutes(application, [.. groups.SelectMany(group => group.Menu)]);
        foreach (IPageGroup group in groups)
        {
            group.Map(routes);
        }
    }

    private static ForwardedHeadersOptions Forwarded(SiteOptions options)
    {
        var forwarded = new ForwardedHeadersOptions
        {
            ForwardedHeaders = ForwardedHeaders.XForwardedFor | ForwardedHeaders.XForwardedProto | ForwardedHeaders.XForwardedHost,
            ForwardLimit = null,
        };
        forwarded.KnownIPNetworks.Clear();
        forwarded.KnownProxies.Clear();
        foreach (System.Net.IPNetwork network in options.TrustedProxies)
        {
            forwarded.KnownIPNetworks.Add(network);
        }

        return forwarded;
    }
}

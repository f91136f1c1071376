using System.Net;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Forecasts.MetNorway;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Forecasts.Station;
using GraftWatch.Forecasts.UsWeatherService;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Refit;

namespace GraftWatch.Forecasts;

/// <summary>Puts weather sources into a service collection; the order of the calls is the order the sources are tried in.</summary>
/// <remarks>
/// Register what must outlast the process before, as singletons: <see cref="IRequestTallies"/>, <see cref="IReplyStore"/> (or name a folder in the
/// setup) and <see cref="IWeatherLog"/> or <see cref="IWeatherHistory"/>; without them memory does, and a restart forgets. The clock is the registered
/// <see cref="TimeProvider"/>.
/// </remarks>
public static class ForecastServices
{
    /// <summary>Adds everything a setup names, joined into the one <see cref="IWeatherSource"/> and <see cref="IBatchWeatherSource"/>.</summary>
    /// <remarks>An <see cref="IWeatherNeeds"/> registered beside it says how far back hours are fetched.</remarks>
    public static IServiceCollection AddWeather(this IServiceCollection services, WeatherSetup setup)
    {
        IReadOnlyList<string> words = [.. setup.Order, .. setup.OrderOfPlace.Values.SelectMany(o => o), .. setup.CompareWith is { } other ? [other] : Array.Empty<string>()];
        if (setup.Folder is { } folder)
        {
            services.TryAddSingleton<IReplyStore>(new FileReplyStore(folder));
        }

        bool Uses(int word) => words.Any(w => SourceChain.SameName(w, WeatherSetup.SourceWords[word]));
        services.AddOpenForecast(new OpenForecastOptions { BaseUrl = setup.Address, ApiKey = setup.Key, UserAgent = setup.UserAgent, RunOf = setup.RunOf });
        if (Uses(1))
        {
            services.AddMetNorway(new MetNorwayOptions { BaseUrl = setup.MetNorwayAddress, UserAgent = setup.UserAgent });
        }

        if (Uses(2))
        {
            string agent = setup.Contact.Length == 0 ? string.Empty : setup.UserAgent;
            services.AddUsWeatherService(new UsWeatherOptions { BaseUrl = setup.UsAddress, UserAgent = agent });
        }

        foreach (bool archive in (bool[])[false, true])
        {
            Uri address = setup.Sibling(archive ? "archive-api" : "historical-forecast-api");
            services.AddOpenPast(new OpenPastOptions { BaseUrl = address, IsArchive = archive, ApiKey = setup.Key, UserAgent = setup.UserAgent });
        }

        if (setup.WithEnsemble)
        {
            services.AddOpenEnsemble(new OpenEnsembleOptions { BaseUrl = setup.Sibling("ensemble-api"), ApiKey = setup.Key, UserAgent = setup.UserAgent });
        }

        if (setup.Stations.Count > 0)
        {
            services.AddStationFiles(setup.Stations);
        }

        return services.AddJoinedWeather(setup.Joining with { Order = setup.Order, OrderOfPlace = setup.OrderOfPlace, CompareWith = setup.CompareWith });
    }

    /// <summary>Adds the open forecast API; alone it is the <see cref="IWeatherSource"/> and <see cref="IBatchWeatherSource"/>.</summary>
    public static IServiceCollection AddOpenForecast(this IServiceCollection services, OpenForecastOptions options)
    {
        string client = services.AddPoliteClient("open forecast", options.BaseUrl, options.UserAgent);
        services.AddSingleton(provider => new OpenForecastSource(
            provider.Client<IOpenForecastApi>(client),
            provider.Client<IOpenModelApi>(client),
            provider.Line(options.BaseUrl, options.Line, options.CourtesyInForce),
            options));
        services.TryAddSingleton<IBatchWeatherSource>(provider => provider.GetRequiredService<OpenForecastSource>());
        return services.AddForecast(provider => provider.GetRequiredService<OpenForecastSource>());
    }

    /// <summary>Adds an archive of the open forecast API for past hours.</summary>
    public static IServiceCollection AddOpenPast(this IServiceCollection services, OpenPastOptions options)
    {
        string client = services.AddPoliteClient(options.IsArchive ? "open archive" : "open past forecasts", options.BaseUrl, options.UserAgent);
        return services.AddSingleton<IPastWeatherSource>(provider => new OpenPastSource(
            provider.Client<IOpenPastApi>(client), provider.Line(options.BaseUrl, options.Line, options.CourtesyInForce), options));
    }

    /// <summary>Adds an ensemble of the open forecast API.</summary>
    public static IServiceCollection AddOpenEnsemble(this IServiceCollection services, OpenEnsembleOptions options)
    {
        string client = services.AddPoliteClient("open ensemble", options.BaseUrl, options.UserAgent);
        return services.AddSingleton<IMemberSource>(provider => new OpenEnsembleSource(
            provider.Client<IOpenEnsembleApi>(client), provider.Line(options.BaseUrl, options.Line, options.CourtesyInForce), options));
    }

    /// <summary>Adds MET Norway.</summary>
    public static IServiceCollection AddMetNorway(this IServiceCollection services, MetNorwayOptions options)
    {
        string client = services.AddPoliteClient("MET Norway", options.BaseUrl, options.UserAgent);
        return services.AddForecast(provider => new MetNorwaySource(
            provider.Client<IMetNorwayApi>(client), provider.Line(options.BaseUrl, options.Line, options.Courtesy), options, provider.GetRequiredService<IReplyStore>()));
    }

    /// <summary>Adds the US National Weather Service.</summary>
    public static IServiceCollection AddUsWeatherService(this IServiceCollection services, UsWeatherOptions options)
    {
        string client = services.AddPoliteClient("US National Weather Service", options.BaseUrl, options.UserAgent, "application/geo+json");
        return services.AddForecast(provider => new UsWeatherSource(
            provider.Client<IUsWeatherApi>(client), provider.Line(options.BaseUrl, options.Line, options.Courtesy), options, provider.GetRequiredService<IReplyStore>()));
    }

    /// <summary>Adds growers' own stations.</summary>
    /// <param name="services">The collection.</param>
    /// <param name="fileOfPlace">Path of the station's file by name of the place.</param>
    public static IServiceCollection AddStationFiles(this IServiceCollection services, IReadOnlyDictionary<string, string> fileOfPlace) =>
        services.AddSingleton<IStation>(new StationFile(fileOfPlace));

    /// <summary>Joins all that was added into the <see cref="IWeatherSource"/> and <see cref="IBatchWeatherSource"/>; call it last.</summary>
    public static IServiceCollection AddJoinedWeather(this IServiceCollection services, JoinedWeatherOptions options)
    {
        services.AddMemories();
        services.AddSingleton(provider => new JoinedWeatherSource(
            new JoinedWeatherParts
            {
                Forecasts = [.. provider.GetServices<ForecastEntry>().Select(e => e.Source)],
                History = provider.GetRequiredService<IWeatherHistory>(),
                Archives = [.. provider.GetServices<IPastWeatherSource>()],
                Needs = provider.GetService<IWeatherNeeds>(),
                Station = provider.GetService<IStation>(),
                Ensemble = provider.GetService<IMemberSource>(),
            },
            options,
            provider.GetRequiredService<TimeProvider>()));
        services.AddSingleton<IBatchWeatherSource>(provider => provider.GetRequiredService<JoinedWeatherSource>());
        return services.AddSingleton<IWeatherSource>(provider => provider.GetRequiredService<JoinedWeatherSource>());
    }

    private static IServiceCollection AddForecast(this IServiceCollection services, Func<IServiceProvider, IWeatherSource> make)
    {
        services.AddSingleton(provider => new ForecastEntry(make(provider)));
        services.TryAddSingleton<IWeatherSource>(provider => provider.GetServices<ForecastEntry>().First().Source);
        return services;
    }

    private static void AddMemories(this IServiceCollection services)
    {
        services.TryAddSingleton(TimeProvider.System);
        services.TryAddSingleton<IRequestTallies, InMemoryRequestTallies>();
        services.TryAddSingleton<IReplyStore, InMemoryReplyStore>();
        services.TryAddSingleton<IWeatherHistory>(provider => provider.GetService<IWeatherLog>() is { } log
            ? new LoggedWeatherHistory(log, provider.GetRequiredService<IReplyStore>())
            : new InMemoryWeatherHistory());
        services.TryAddSingleton<HostLines>();
    }

    private static T Client<T>(this IServiceProvider provider, string client) =>
        RestService.ForGenerated<T>(provider.GetRequiredService<IHttpClientFactory>().CreateClient(client));

    private static HostLine Line(this IServiceProvider provider, Uri baseUrl, LineOptions options, CourtesyPolicy policy) =>
        provider.GetRequiredService<HostLines>().For(baseUrl, options, policy);

    /// <summary>A client that has no deadline of its own (the line has them), takes compressed replies and fresh addresses, and follows redirects only inside the host.</summary>
    private static string AddPoliteClient(this IServiceCollection services, string name, Uri baseUrl, string userAgent, string accept = "application/json")
    {
        services.AddMemories();
        services.AddHttpClient(name)
            .ConfigureHttpClient(http =>
            {
                http.BaseAddress = baseUrl;
                http.Timeout = Timeout.InfiniteTimeSpan;
                http.DefaultRequestHeaders.TryAddWithoutValidation("User-Agent", userAgent);
                http.DefaultRequestHeaders.TryAddWithoutValidation("Accept", accept);
            })
            .ConfigurePrimaryHttpMessageHandler(() => new SocketsHttpHandler
            {
                AllowAutoRedirect = false,
                AutomaticDecompression = DecompressionMethods.All,
                ConnectTimeout = TimeSpan.FromSeconds(10),
                PooledConnectionLifetime = TimeSpan.FromMinutes(10),
                UseCookies = false,
            })
            .AddHttpMessageHandler(() => new SameHostRedirects())
            .SetHandlerLifetime(Timeout.InfiniteTimeSpan);
        return name;
    }

    /// <summary>A forecast source in the order of registration.</summary>
    private sealed record ForecastEntry(IWeatherSource Source);
}

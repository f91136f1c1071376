using GraftWatch.CommandLine;
using GraftWatch.Forecasts;
using GraftWatch.Inputs;
using GraftWatch.Pages;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving.Metrics;
using GraftWatch.Serving.Systemd;

namespace GraftWatch.Serving;

/// <summary>Puts the daemon together.</summary>
internal static class ServeHost
{
    /// <summary>Builds the host; nothing runs before it is started.</summary>
    internal static IHost Build(ServeParts parts) => parts is { Listen: null, Watch: null } ? Plain(parts) : Web(parts);

    // Of its own, so that a daemon that listens nowhere loads no web server.
    private static IHost Plain(ServeParts parts)
    {
        HostApplicationBuilder builder = Host.CreateEmptyApplicationBuilder(new HostApplicationBuilderSettings { ApplicationName = "graftwatch" });
        Configure(builder, parts);
        return builder.Build();
    }

    private static WebApplication Web(ServeParts parts)
    {
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions { ApplicationName = "graftwatch" });
        builder.WebHost.UseKestrelCore().ConfigureKestrel(Site.Bound).ConfigureKestrel(options => WatchLine.Listen(options, parts));
        Configure(builder, parts);
        if (parts.Listen is not null)
        {
            builder.Services.AddSite(parts);
        }

        WebApplication application = builder.Build();
        ServeEndpoints.Map(application, parts);
        return application;
    }

    /// <summary>What seals letters and hands them over, as the daemon does, for a command that may run beside it.</summary>
    internal static ServiceProvider Letters(ServeParts parts)
    {
        var services = new ServiceCollection();
        services.AddLogging(parts.Logging);
        services.AddMetrics();
        Services(services, parts);
        ServeChannels.Add(services, parts);
        services.AddSingleton<DeliveryRun>();
        return services.BuildServiceProvider();
    }

    private static void Configure(IHostApplicationBuilder builder, ServeParts parts)
    {
        parts.Logging(builder.Logging);
        Services(builder.Services, parts);
        Weather(builder.Services, parts);
        ServeChannels.Add(builder.Services, parts);
        Rounds(builder.Services);
        ServeBeat.Add(builder, parts);
        Watching(builder.Services, parts);
        parts.Around(builder.Services);
    }

    private static void Services(IServiceCollection services, ServeParts parts)
    {
        services.Configure<HostOptions>(options => options.ShutdownTimeout = GraftWatchCommand.LongestStop - TimeSpan.FromSeconds(5));
        services.AddSingleton(parts.Clock);
        services.AddSingleton(parts.Settings);
        services.AddSingleton(new EditPatience());
        services.AddSingleton<ServeState>();
        services.AddSingleton<DiskWatch>();
        services.AddSingleton<ServeMetrics>();
        services.AddSingleton(parts.Store);
        services.AddSingleton(parts.Store.Ledger);
        services.AddSingleton<ISaidMemory>(provider => new MeasuredSealing(parts.Store.Said, provider.GetRequiredService<ServeMetrics>()));
        services.AddSingleton(parts.Store.Jobs);
        services.AddSingleton<IRegister>(new RegisterOfInstallation(parts.Store.Register, () => parts.Settings.Current, parts.Clock, parts.Store.Keeper));
    }

    private static void Weather(IServiceCollection services, ServeParts parts)
    {
        services.AddKeptWeather(parts.Store);
        services.AddSingleton<IWeatherNeeds>(provider => new NeedsOfRegister(provider.GetRequiredService<IRegister>(), async token => (await provider.GetRequiredService<GrowersInForce>().LoadAsync(token).ConfigureAwait(false)).Morning, parts.Clock));
        services.AddWeather(parts.Sources(InstalledWeather.Setup(parts.Settings.Current.Installation.Weather, Environment.GetEnvironmentVariable)));
        services.AddSingleton<WeatherGathering>();
    }

    private static void Rounds(IServiceCollection services)
    {
        services.AddSingleton<RoundMaking>();
        services.AddSingleton<MorningRun>();
        services.AddSingleton<DeliveryRun>();
    }

    private static void Watching(IServiceCollection services, ServeParts parts)
    {
        services.AddHostedService(provider => new Greeting(
            parts.Listen, parts.Settings, provider.GetRequiredService<MailWay>(), parts.Clock, provider.GetRequiredService<ILogger<Greeting>>()));
        services.AddHostedService<PulseGuard>();
        services.AddHostedService(_ => new HeapRest(parts.LineClock));
        if (parts.Manager is { } manager)
        {
            services.AddSingleton(manager);
            services.AddHostedService<ServiceNotifier>();
        }
    }
}

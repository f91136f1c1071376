using System.Diagnostics.CodeAnalysis;
using GraftWatch.Forecasts;
using GraftWatch.Inputs;
using GraftWatch.Letters;
using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Puts the daemon together.</summary>
/// <remarks>
/// Quartz only gives the beat, from memory: nothing it knows is needed after a restart. What is due follows from zones and
/// hours (<see cref="Rounds.Schedules.LetterSchedule"/>), what was done from the store, so a beat that is lost or doubled does no harm.
/// </remarks>
internal static class ServeHost
{
    private const DynamicallyAccessedMemberTypes JobMembers =
        DynamicallyAccessedMemberTypes.PublicConstructors | DynamicallyAccessedMemberTypes.PublicProperties | DynamicallyAccessedMemberTypes.Interfaces;

    private static readonly TimeSpan MorningBeat = TimeSpan.FromMinutes(1);
    private static readonly TimeSpan DeliveryBeat = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan SettingsBeat = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan HouseBeat = TimeSpan.FromHours(1);
    private static readonly TimeSpan WeatherBeat = TimeSpan.FromHours(3);

    /// <summary>Builds the host; nothing runs before it is started.</summary>
    internal static IHost Build(ServeParts parts)
    {
        if (parts.Listen is not { } listen)
        {
            HostApplicationBuilder plain = Host.CreateEmptyApplicationBuilder(new HostApplicationBuilderSettings { ApplicationName = "graftwatch" });
            Configure(plain, parts);
            return plain.Build();
        }

        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions { ApplicationName = "graftwatch" });
        builder.WebHost.UseKestrelCore().UseUrls("http://" + listen);
        Configure(builder, parts);
        WebApplication application = builder.Build();
        application.Run(HealthPage.AnswerAsync);
        return application;
    }

    private static void Configure(IHostApplicationBuilder builder, ServeParts parts)
    {
        IServiceCollection services = builder.Services;
        parts.Logging(builder.Logging);
        services.AddSingleton(parts.Clock);
        services.AddSingleton(parts.Settings);
        services.AddSingleton<ServeState>();
        services.AddSingleton(parts.Store);
        services.AddSingleton(parts.Store.Ledger);
        services.AddSingleton(parts.Store.Said);
        services.AddSingleton<IRegister>(new RegisterOfInstallation(parts.Store.Register, () => parts.Settings.Current, parts.Clock, parts.Store.Keeper));
        services.AddSingleton<ILetterComposer>(new LetterComposer(parts.Mail));
        services.AddSingleton(Channel(parts));
        services.AddKeptWeather(parts.Store);
        services.AddSingleton<IWeatherNeeds>(provider => new NeedsOfRegister(provider.GetRequiredService<IRegister>(), () => parts.Settings.Current, parts.Clock));
        services.AddWeather(parts.Sources(InstalledWeather.Setup(parts.Settings.Current.Installation.Weather, Environment.GetEnvironmentVariable)));
        services.AddSingleton<WeatherGathering>();
        services.AddSingleton<RoundMaking>();
        services.AddSingleton<MorningRun>();
        services.AddSingleton<DeliveryRun>();
        services.AddHostedService<Greeting>();
        services.AddHostedService<PulseGuard>();
        AddBeat(builder, parts.Clock);
        parts.Around(services);
    }

    private static ILetterChannel Channel(ServeParts parts) => parts.Mail.Host.Length > 0
        ? new SmtpChannel(parts.Mail, parts.LineClock)
        : new FolderChannel(Path.Combine(parts.Settings.Current.Installation.DataFolder, "letters"));

    private static void AddBeat(IHostApplicationBuilder builder, TimeProvider clock)
    {
        builder.AddQuartz(quartz =>
        {
            quartz.ConfigureScheduler(options => options.InstanceName = "graftwatch");
            quartz.UseTimeProvider(clock);
            quartz.UseInMemoryStore(options => options.MisfireThreshold = TimeSpan.FromMinutes(2));
            Every<WeatherJob>(quartz, "weather", WeatherBeat);
            Every<MorningJob>(quartz, "morning", MorningBeat);
            Every<DeliveryJob>(quartz, "delivery", DeliveryBeat);
            Every<SettingsJob>(quartz, "settings", SettingsBeat);
            Every<HouseJob>(quartz, "house", HouseBeat);
        });
        builder.AddQuartzHostedService(options => options.WaitForJobsToComplete = true);
    }

    private static void Every<[DynamicallyAccessedMembers(JobMembers)] TJob>(IQuartzBuilder quartz, string name, TimeSpan beat)
        where TJob : class, IJob
    {
        quartz.AddJob<TJob>(job => job.WithIdentity(name).StoreDurably());
        quartz.AddTrigger<TJob>(trigger => trigger.ForJob(name).WithIdentity(name).StartNow().WithSimpleSchedule(schedule => schedule.WithInterval(beat).RepeatForever()));
    }
}

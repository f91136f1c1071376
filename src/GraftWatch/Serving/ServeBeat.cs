using GraftWatch.Serving.Clocks;
using Npgsql;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>When the daemon looks at what.</summary>
/// <remarks>
/// Quartz only gives the beat: what is due follows from zones and hours (<see cref="Rounds.Schedules.LetterSchedule"/>), what
/// was done from the store, so a beat that is lost or doubled does no harm. With a store of its own the daemon keeps the beat
/// in memory. Daemons that share a PostgreSQL server share the beat there, each beat falling to one of them.
/// </remarks>
internal static class ServeBeat
{
    /// <summary>Name of the scheduler whose beats fall to one daemon of those that share a store.</summary>
    internal const string Shared = "graftwatch";

    /// <summary>Name of the scheduler whose beats fall to every daemon.</summary>
    internal const string Own = "graftwatch-own";

    /// <summary>Prefix of the tables that hold the shared beat.</summary>
    internal const string TablePrefix = "beat_";

    /// <summary>In how many shares daemons on one store look through the growers.</summary>
    internal const int Shares = 8;

    // Fewer than there are shares: a daemon leaves some to the others.
    private const int AtOnce = 5;

    // A daemon that does not report for interval and patience together is taken for dead, and its beats fall to the others.
    private static readonly TimeSpan ReportInterval = TimeSpan.FromSeconds(7);
    private static readonly TimeSpan ReportPatience = TimeSpan.FromSeconds(13);
    private static readonly TimeSpan Misfire = TimeSpan.FromMinutes(2);

    private static readonly TimeSpan MorningBeat = TimeSpan.FromMinutes(1);
    private static readonly TimeSpan DeliveryBeat = TimeSpan.FromSeconds(15);
    private static readonly TimeSpan SettingsBeat = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan HouseBeat = TimeSpan.FromHours(1);
    private static readonly TimeSpan WeatherBeat = TimeSpan.FromHours(3);
    private static readonly TimeSpan UrgentBeat = TimeSpan.FromMinutes(15);
    private static readonly TimeSpan OperatorBeat = TimeSpan.FromMinutes(1);

    internal static void Add(IHostApplicationBuilder builder, ServeParts parts)
    {
        var beats = new BeatList(builder.Services, parts.BeatServer is not null);
        Jobs(beats);
        builder.Services.AddSingleton(beats);
        builder.Services.AddSingleton(parts.Witness);
        builder.Services.AddSingleton<ClockGate>();
        builder.Services.AddSingleton<BeatGuard>();
        builder.Services.AddHostedService(provider => provider.GetRequiredService<ClockGate>());
        AddOwn(builder, parts);
        if (parts.BeatServer is { } server)
        {
            AddShared(builder, parts, server);
        }

        builder.Services.AddHostedService<BeatKeeper>();
    }

    private static void Jobs(BeatList beats)
    {
        beats.Every<WeatherJob>("weather", WeatherBeat);
        foreach (MorningShare share in MorningShare.All(beats.IsShared ? Shares : 1))
        {
            beats.Every<MorningJob>(share.JobName, MorningBeat);
        }

        beats.Every<UrgentJob>(UrgentJob.Name, UrgentBeat);
        beats.EveryHere<DeliveryJob>("delivery", DeliveryBeat);
        beats.Every<HouseJob>("house", HouseBeat);
        beats.EveryHere<OperatorJob>("operator", OperatorBeat);
        beats.EveryHere<SettingsJob>("settings", SettingsBeat);
    }

    private static void AddOwn(IHostApplicationBuilder builder, ServeParts parts)
    {
        builder.AddQuartz(Own, quartz =>
        {
            quartz.UseTimeProvider(parts.Clock);
            quartz.UseInMemoryStore(options => options.MisfireThreshold = Misfire);
        });
        builder.AddQuartzHostedService(Own, Hosting);
    }

    private static void AddShared(IHostApplicationBuilder builder, ServeParts parts, string server)
    {
        builder.AddQuartz(Shared, quartz =>
        {
            quartz.ConfigureScheduler(options => options.InstanceId = $"{Environment.MachineName}-{Environment.ProcessId}-{Guid.NewGuid():N}"[..^24]);
            quartz.UseTimeProvider(parts.Clock);
            quartz.UseDefaultThreadPool(AtOnce);
            quartz.UsePersistentStore(store =>
            {
                store.ProvisionSchema();
                store.ConfigureStore(options =>
                {
                    options.TablePrefix = TablePrefix;
                    options.MisfireThreshold = Misfire;
                    options.DbRetryInterval = TimeSpan.FromSeconds(5);
                    options.MaxConsecutiveFireFailures = 0;
                });
                store.UsePostgres(NpgsqlFactory.Instance, BeatAddress(server));
                store.UseClustering(options =>
                {
                    options.CheckinInterval = ReportInterval;
                    options.CheckinMisfireThreshold = ReportPatience;
                });
            });
        });
        builder.AddQuartzHostedService(Shared, Hosting);
    }

    private static void Hosting(QuartzHostedServiceOptions options)
    {
        options.WaitForJobsToComplete = true;
        options.AwaitApplicationStarted = false;
    }

    // A daemon that froze while it held the lock of the beat must not hold up the others for longer than a dead one does.
    private static string BeatAddress(string server)
    {
        var settings = new NpgsqlConnectionStringBuilder(server) { ApplicationName = "graftwatch beat", MaxPoolSize = 10, KeepAlive = 15 };
        settings.Options = $"{settings.Options} -c idle_in_transaction_session_timeout=20000 -c lock_timeout=30000".TrimStart();
        return settings.ConnectionString;
    }
}

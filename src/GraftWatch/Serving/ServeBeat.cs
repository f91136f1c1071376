using System.Diagnostics.CodeAnalysis;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>When the daemon looks at what.</summary>
/// <remarks>
/// Quartz only gives the beat, from memory: nothing it knows is needed after a restart. What is due follows from zones and
/// hours (<see cref="Rounds.Schedules.LetterSchedule"/>), what was done from the store, so a beat that is lost or doubled does no harm.
/// </remarks>
internal static class ServeBeat
{
    private const DynamicallyAccessedMemberTypes JobMembers =
        DynamicallyAccessedMemberTypes.PublicConstructors | DynamicallyAccessedMemberTypes.PublicProperties | DynamicallyAccessedMemberTypes.Interfaces;

    private static readonly TimeSpan MorningBeat = TimeSpan.FromMinutes(1);
    private static readonly TimeSpan DeliveryBeat = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan SettingsBeat = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan HouseBeat = TimeSpan.FromHours(1);
    private static readonly TimeSpan WeatherBeat = TimeSpan.FromHours(3);
    private static readonly TimeSpan UrgentBeat = TimeSpan.FromMinutes(15);

    internal static void Add(IHostApplicationBuilder builder, ServeParts parts)
    {
        builder.AddQuartz(quartz =>
        {
            quartz.ConfigureScheduler(options => options.InstanceName = "graftwatch");
            quartz.UseTimeProvider(parts.Clock);
            quartz.UseInMemoryStore(options => options.MisfireThreshold = TimeSpan.FromMinutes(2));
            Jobs(quartz);
        });
        builder.AddQuartzHostedService(options => options.WaitForJobsToComplete = true);
    }

    private static void Jobs(IQuartzBuilder quartz)
    {
        Every<WeatherJob>(quartz, "weather", WeatherBeat);
        Every<MorningJob>(quartz, "morning", MorningBeat);
        Every<DeliveryJob>(quartz, "delivery", DeliveryBeat);
        Every<UrgentJob>(quartz, UrgentJob.Name, UrgentBeat);
        Every<SettingsJob>(quartz, "settings", SettingsBeat);
        Every<HouseJob>(quartz, "house", HouseBeat);
    }

    private static void Every<[DynamicallyAccessedMembers(JobMembers)] TJob>(IQuartzBuilder quartz, string name, TimeSpan beat)
        where TJob : class, IJob
    {
        quartz.AddJob<TJob>(job => job.WithIdentity(name).StoreDurably());
        quartz.AddTrigger<TJob>(trigger => trigger.ForJob(name).WithIdentity(name).StartNow().WithSimpleSchedule(schedule => schedule.WithInterval(beat).RepeatForever()));
    }
}

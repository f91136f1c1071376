using System.Diagnostics.CodeAnalysis;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>The beats of the daemon.</summary>
/// <param name="services">Where the jobs are put, so that they are made without looking for their constructors by name.</param>
/// <param name="isShared">Whether several daemons share the store.</param>
internal sealed class BeatList(IServiceCollection services, bool isShared)
{
    private const DynamicallyAccessedMemberTypes JobMembers =
        DynamicallyAccessedMemberTypes.PublicConstructors | DynamicallyAccessedMemberTypes.PublicProperties | DynamicallyAccessedMemberTypes.Interfaces;

    private readonly List<Beat> beats = [];

    /// <summary>All of them.</summary>
    internal IReadOnlyList<Beat> All => beats;

    /// <summary>Whether several daemons share the store.</summary>
    internal bool IsShared => isShared;

    /// <summary>A beat that falls to one of the daemons that share the store.</summary>
    internal void Every<[DynamicallyAccessedMembers(JobMembers)] TJob>(string name, TimeSpan interval)
        where TJob : class, IJob => Add<TJob>(name, interval, isShared ? ServeBeat.Shared : ServeBeat.Own);

    /// <summary>A beat that falls to every daemon.</summary>
    internal void EveryHere<[DynamicallyAccessedMembers(JobMembers)] TJob>(string name, TimeSpan interval)
        where TJob : class, IJob => Add<TJob>(name, interval, ServeBeat.Own);

    private void Add<[DynamicallyAccessedMembers(JobMembers)] TJob>(string name, TimeSpan interval, string scheduler)
        where TJob : class, IJob
    {
        services.TryAddTransient<TJob>();
        beats.Add(new Beat(name, interval, scheduler, () => JobBuilder.Create<TJob>().WithIdentity(name).StoreDurably().Build()));
    }
}

/// <summary>One beat.</summary>
/// <param name="Name">Name of its job and trigger.</param>
/// <param name="Interval">From one to the next.</param>
/// <param name="Scheduler">Name of the scheduler that keeps it.</param>
/// <param name="Job">Describes the job.</param>
internal sealed record Beat(string Name, TimeSpan Interval, string Scheduler, Func<IJobDetail> Job)
{
    /// <summary>Key of its trigger.</summary>
    internal TriggerKey Key => new(Name);

    /// <summary>The trigger, first due at once.</summary>
    internal ITrigger Trigger(DateTimeOffset now) => TriggerBuilder.Create()
        .ForJob(Name)
        .WithIdentity(Key)
        .StartAt(now)
        .WithSimpleSchedule(schedule => schedule.WithInterval(Interval).RepeatForever().WithMisfireInstruction(SimpleTriggerMisfireInstruction.NowWithExistingCount))
        .Build();
}

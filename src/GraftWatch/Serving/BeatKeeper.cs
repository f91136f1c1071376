using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Sets the beats going and keeps them going.</summary>
/// <remarks>
/// A beat that is in the store already is left alone, so that a daemon that starts beside others doubles nothing; one whose
/// interval changed with the program is set anew, and so is one that would come too late because a clock stood wrong or a
/// fault stopped it.
/// </remarks>
/// <param name="beats">The beats.</param>
/// <param name="services">Where the schedulers are.</param>
/// <param name="growers">Whose letters are due when.</param>
/// <param name="clock">The clock.</param>
/// <param name="logger">Log.</param>
internal sealed class BeatKeeper(BeatList beats, IServiceProvider services, GrowersInForce growers, TimeProvider clock, ILogger<BeatKeeper> logger) : BackgroundService
{
    private static readonly TimeSpan Look = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan Slack = TimeSpan.FromMinutes(1);

    public override async Task StartAsync(CancellationToken cancellationToken)
    {
        foreach (Beat beat in beats.All)
        {
            IScheduler scheduler = services.GetRequiredKeyedService<IScheduler>(beat.Scheduler);
            await scheduler.AddJob(beat.Job(), AddJobOptions.Replacing, cancellationToken).ConfigureAwait(false);
            await KeepAsync(scheduler, beat, cancellationToken).ConfigureAwait(false);
        }

        await base.StartAsync(cancellationToken).ConfigureAwait(false);
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Look, clock);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false))
            {
                await KeepAllAsync(stoppingToken).ConfigureAwait(false);
            }
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The host stops.
        }
    }

    private async Task KeepAllAsync(CancellationToken cancellationToken)
    {
        await HitTheHourAsync(cancellationToken).ConfigureAwait(false);
        foreach (Beat beat in beats.All)
        {
            try
            {
                IScheduler scheduler = services.GetRequiredKeyedService<IScheduler>(beat.Scheduler);
                await KeepAsync(scheduler, beat, cancellationToken).ConfigureAwait(false);
            }
            catch (SchedulerException failure)
            {
                // The server of the shared beat may be away; the next look comes soon.
                Log.BeatNotKept(logger, beat.Name, failure.Message);
            }
        }
    }

    private async Task KeepAsync(IScheduler scheduler, Beat beat, CancellationToken cancellationToken)
    {
        DateTimeOffset now = clock.GetUtcNow();
        ITrigger? kept = await scheduler.GetTrigger(beat.Key, cancellationToken).ConfigureAwait(false);
        if (kept is null)
        {
            await scheduler.ScheduleTrigger(beat.Trigger(now), TriggerConflict.Keep, cancellationToken).ConfigureAwait(false);
            return;
        }

        if (await scheduler.GetTriggerState(beat.Key, cancellationToken).ConfigureAwait(false) == TriggerState.Error)
        {
            Log.BeatSetAnew(logger, beat.Name, "a fault had stopped it");
            await scheduler.ResetTriggerFromErrorState(beat.Key, cancellationToken).ConfigureAwait(false);
        }

        string? why = kept is not ISimpleTrigger simple || simple.RepeatInterval != beat.Interval ? "its interval changed"
            : kept.NextFireTimeUtc is { } next && next > now + beat.Interval + Slack ? "it would have come too late"
            : null;
        if (why is not null)
        {
            Log.BeatSetAnew(logger, beat.Name, why);
            await scheduler.RescheduleJob(beat.Key, beat.Trigger(now), cancellationToken).ConfigureAwait(false);
        }
    }

    // The minute beat alone would bring a letter up to a minute after its hour.
    private async Task HitTheHourAsync(CancellationToken cancellationToken)
    {
        try
        {
            var now = Instant.FromDateTimeOffset(clock.GetUtcNow());
            IReadOnlyList<Grower> served = (await growers.LoadAsync(cancellationToken).ConfigureAwait(false)).Morning.Growers;
            Instant next = served.Select(grower => LetterSchedule.NextDue(grower, now).At).DefaultIfEmpty(Instant.MaxValue).Min();
            if (next - now > Duration.FromTimeSpan(Look + Slack))
            {
                return;
            }

            foreach (Beat beat in beats.All.Where(beat => MorningShare.IsJob(beat.Name)))
            {
                ITrigger hour = TriggerBuilder.Create().ForJob(beat.Name).WithIdentity(beat.Name + " at the hour").StartAt(next.ToDateTimeOffset()).Build();
                await services.GetRequiredKeyedService<IScheduler>(beat.Scheduler).ScheduleTrigger(hour, TriggerConflict.Replace, cancellationToken).ConfigureAwait(false);
            }
        }
        catch (Exception failure) when (failure is SchedulerException or System.Data.Common.DbException)
        {
            Log.BeatNotKept(logger, "the letter hour", failure.Message);
        }
    }
}

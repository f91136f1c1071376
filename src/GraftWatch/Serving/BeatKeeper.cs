using Quartz;

namespace GraftWatch.Serving;

/// <summary>Sets the beats going and keeps them going.</summary>
/// <remarks>
/// A beat that is in the store already is left alone, so that a daemon that starts beside others doubles nothing; one whose
/// interval changed with the program is set anew, and so is one that would come too late because a clock stood wrong or a
/// fault stopped it.
/// </remarks>
internal sealed class BeatKeeper(BeatList beats, IServiceProvider services, TimeProvider clock, ILogger<BeatKeeper> logger) : BackgroundService
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
}

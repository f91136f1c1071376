using GraftWatch.Rounds.Ports;
using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Notes in the store when jobs ran: the long ones wherever they run, and the short ones where several daemons share them, so that each sees that somebody looks.</summary>
internal sealed class BeatRecorder(IJobRuns runs, BeatList beats, IServiceProvider services, TimeProvider clock, ILogger<BeatRecorder> logger) : IJobListener
{
    private static readonly TimeSpan Long = TimeSpan.FromHours(1);

    public string Name => "graftwatch runs";

    public ValueTask JobToBeExecuted(IJobExecutionContext context, CancellationToken cancellationToken = default) => ValueTask.CompletedTask;

    public ValueTask JobExecutionVetoed(IJobExecutionContext context, CancellationToken cancellationToken = default) => ValueTask.CompletedTask;

    public async ValueTask JobWasExecuted(IJobExecutionContext context, JobExecutionException? jobException, CancellationToken cancellationToken = default)
    {
        string job = context.JobDetail.Key.Name;
        if (context.Result is true && MorningShare.IsJob(job))
        {
            await DeliverAsync(cancellationToken).ConfigureAwait(false);
        }

        if (beats.All.FirstOrDefault(one => one.Name == job) is not { } beat || (beat.Interval < Long && beat.Scheduler != ServeBeat.Shared))
        {
            return;
        }

        try
        {
            Instant started = Instant.FromDateTimeOffset(context.FireTimeUtc);
            // One row an hour is kept of what runs every minute.
            Instant due = Instant.FromUnixTimeSeconds(started.ToUnixTimeSeconds() / 3600 * 3600);
            var run = new JobRun(job, due, started, Instant.FromDateTimeOffset(clock.GetUtcNow()), jobException is null, jobException?.Message ?? context.Scheduler.SchedulerInstanceId);
            await runs.RecordAsync(run, CancellationToken.None).ConfigureAwait(false);
        }
        catch (Exception e) when (e is System.Data.Common.DbException or InvalidOperationException or TimeoutException)
        {
            Log.RunNotNoted(logger, job, e.Message);
        }
    }

    // What was just sealed need not wait for the beat of deliveries.
    private async Task DeliverAsync(CancellationToken cancellationToken)
    {
        try
        {
            await services.GetRequiredKeyedService<IScheduler>(ServeBeat.Own).TriggerJob(new JobKey("delivery"), null, cancellationToken).ConfigureAwait(false);
        }
        catch (SchedulerException)
        {
            // The program is ending; the letter waits in the store for the next one.
        }
    }
}

using GraftWatch.Rounds.Ports;
using GraftWatch.Serving.Clocks;
using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Stands around every job but the look at the settings: none runs by a clock that is in doubt, and the store is told when they ran.</summary>
/// <remarks>
/// Noted are the long ones wherever they run, and the short ones where several daemons share them, so that each sees that
/// somebody looks. Quartz has listeners for this, but registers them by looking at their interfaces, which a program
/// compiled ahead of time cannot do.
/// </remarks>
internal sealed class BeatGuard(ClockGate gate, IJobRuns runs, BeatList beats, IServiceProvider services, TimeProvider clock, ILogger<BeatGuard> logger)
{
    private static readonly TimeSpan Long = TimeSpan.FromHours(1);

    /// <summary>Runs a job's work, or leaves it for the next beat.</summary>
    internal async ValueTask RunAsync(IJobExecutionContext context, Func<Task> work, CancellationToken cancellationToken)
    {
        if (!await gate.IsOpenAsync(cancellationToken).ConfigureAwait(false))
        {
            return;
        }

        await work().ConfigureAwait(false);
        string job = context.JobDetail.Key.Name;
        if (context.Result is true && MorningShare.IsJob(job))
        {
            await DeliverAsync(cancellationToken).ConfigureAwait(false);
        }

        if (beats.All.FirstOrDefault(one => one.Name == job) is { } beat && (beat.Interval >= Long || beat.Scheduler == ServeBeat.Shared))
        {
            await NoteAsync(job, context).ConfigureAwait(false);
        }
    }

    private async Task NoteAsync(string job, IJobExecutionContext context)
    {
        try
        {
            Instant started = Instant.FromDateTimeOffset(context.FireTimeUtc);
            // One row an hour is kept of what runs every minute.
            Instant due = Instant.FromUnixTimeSeconds(started.ToUnixTimeSeconds() / 3600 * 3600);
            var run = new JobRun(job, due, started, Instant.FromDateTimeOffset(clock.GetUtcNow()), Good: true, context.Scheduler.SchedulerInstanceId);
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

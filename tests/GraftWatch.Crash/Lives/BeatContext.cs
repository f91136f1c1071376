using Quartz;

namespace GraftWatch.Crash.Lives;

/// <summary>What a job is told when the simulated clock beats it instead of Quartz. What it asks the scheduler for is never due: the next pass beats every job anyway.</summary>
internal sealed class BeatContext(IScheduler scheduler, IJobDetail detail, IJob job, DateTimeOffset now) : IJobExecutionContext
{
    public IScheduler Scheduler => scheduler;

    public ITrigger Trigger { get; } = TriggerBuilder.Create().ForJob(detail).StartAt(now).Build();

    public ICalendar? Calendar => null;

    public bool Recovering => false;

    public TriggerKey RecoveringTriggerKey => Trigger.Key;

    public int RefireCount => 0;

    public int RetryAttempt => 0;

    public RetryPolicy? RetryPolicy => null;

    public ExecutionOutcome? Outcome => null;

    public bool RetryScheduled => false;

    public JobDataMap MergedJobDataMap => detail.JobDataMap;

    public IJobDetail JobDetail => detail;

    public IJob JobInstance => job;

    public DateTimeOffset FireTimeUtc => now;

    public DateTimeOffset? ScheduledFireTimeUtc => now;

    public DateTimeOffset? PreviousFireTimeUtc => null;

    public DateTimeOffset? NextFireTimeUtc => null;

    public string FireInstanceId => detail.Key.Name;

    public object? Result { get; set; }

    public TimeSpan JobRunTime => TimeSpan.Zero;

    public CancellationToken CancellationToken => CancellationToken.None;

    public void ReportProgress(int percent, string? message)
    {
    }
}

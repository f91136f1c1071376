using Quartz;

namespace GraftWatch.Serving.Clocks;

/// <summary>Keeps jobs from running by a clock that is in doubt; only the settings are still looked at.</summary>
internal sealed class ClockVeto(ClockGate gate) : ITriggerListener
{
    public string Name => "graftwatch clock";

    public ValueTask TriggerFired(ITrigger trigger, IJobExecutionContext context, CancellationToken cancellationToken = default) => ValueTask.CompletedTask;

    public async ValueTask<bool> VetoJobExecution(ITrigger trigger, IJobExecutionContext context, CancellationToken cancellationToken = default) =>
        context.JobDetail.JobType.Type != typeof(SettingsJob) && !await gate.IsOpenAsync(cancellationToken).ConfigureAwait(false);

    public ValueTask TriggerMisfired(ITrigger trigger, IScheduler scheduler, CancellationToken cancellationToken = default) => ValueTask.CompletedTask;

    public ValueTask TriggerComplete(ITrigger trigger, IJobExecutionContext context, SchedulerInstruction triggerInstructionCode, CancellationToken cancellationToken = default) => ValueTask.CompletedTask;
}

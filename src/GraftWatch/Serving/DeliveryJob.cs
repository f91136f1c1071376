using GraftWatch.Rounds.Pipeline;
using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Hands waiting letters to the mail server.</summary>
[DisallowConcurrentExecution]
internal sealed class DeliveryJob(
    DeliveryRun deliveries, SettingsInForce settings, ServeState state, TimeProvider clock, ILogger<DeliveryJob> logger) : IJob
{
    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            DeliveryTally tally = await deliveries.RunAsync(settings.Current.Morning, Now, cancellationToken).ConfigureAwait(false);
            state.Delivered(tally, Now());
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            Log.DeliveryFailed(logger, e);
        }
    }

    private Instant Now() => Instant.FromDateTimeOffset(clock.GetUtcNow());
}

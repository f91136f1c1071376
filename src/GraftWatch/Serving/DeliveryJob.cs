using GraftWatch.Rounds.Pipeline;
using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Hands waiting letters over, by mail and every other channel.</summary>
[DisallowConcurrentExecution]
internal sealed class DeliveryJob(
    BeatGuard guard, DeliveryRun deliveries, GrowersInForce growers, ServeState state, TimeProvider clock, ILogger<DeliveryJob> logger) : IJob
{
    public ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default) =>
        guard.RunAsync(context, () => WorkAsync(cancellationToken), cancellationToken);

    private async Task WorkAsync(CancellationToken cancellationToken)
    {
        try
        {
            // Ways of growers may have changed since the letters were sealed.
            await growers.LoadAsync(cancellationToken).ConfigureAwait(false);
            DeliveryTally tally = await deliveries.RunAsync(Now, cancellationToken).ConfigureAwait(false);
            state.Delivered(tally, Now());
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            Log.DeliveryFailed(logger, e);
        }
    }

    private Instant Now() => Instant.FromDateTimeOffset(clock.GetUtcNow());
}

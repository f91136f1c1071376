using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Looks after the installation itself, and tells its operator what is amiss.</summary>
[DisallowConcurrentExecution]
internal sealed class OperatorJob(
    OperatorPost post, DiskWatch disk, ChannelTargets targets, SettingsInForce settings, ServeState state, TimeProvider clock, ILogger<OperatorJob> logger) : IJob
{
    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
            await disk.LookAsync(now, cancellationToken).ConfigureAwait(false);
            state.Installation("secrets", targets.Troubles is { Count: > 0 } missing ? string.Join(' ', missing) : null);
            if (settings.Current.Installation.OperatorAddress is { } address)
            {
                await post.TellAsync(address, now, cancellationToken).ConfigureAwait(false);
            }
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            Log.OperatorNotTold(logger, e);
        }
    }
}

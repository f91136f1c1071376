using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Urgent;
using NodaTime;
using NodaTime.Text;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Looks again between two letters, after new weather and now and then: what is new and urgent is written at once.</summary>
[DisallowConcurrentExecution]
internal sealed class UrgentJob(BeatGuard guard, UrgentRun notes, WeatherGathering weather, GrowersInForce growers, TimeProvider clock, ILogger<UrgentJob> logger) : IJob
{
    /// <summary>Its name among the jobs.</summary>
    internal const string Name = "urgent";

    public ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default) =>
        guard.RunAsync(context, () => WorkAsync(cancellationToken), cancellationToken);

    private async Task WorkAsync(CancellationToken cancellationToken)
    {
        try
        {
            InForce now = await growers.LoadAsync(cancellationToken).ConfigureAwait(false);
            using IDisposable hours = weather.Hold();
            foreach (Grower grower in now.Morning.Growers)
            {
                await LookAsync(grower, now, cancellationToken).ConfigureAwait(false);
            }
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            Log.UrgentFailed(logger, e, "everybody");
        }
    }

    private async Task LookAsync(Grower grower, InForce now, CancellationToken cancellationToken)
    {
        try
        {
            UrgentOutcome outcome = await notes.LookAsync(grower, now.Morning, Instant.FromDateTimeOffset(clock.GetUtcNow()), cancellationToken).ConfigureAwait(false);
            if (outcome is UrgentOutcome.Held { Until: var until })
            {
                Log.NoteHeld(logger, grower.Name, InstantPattern.General.Format(until));
            }
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            Log.UrgentFailed(logger, e, grower.Name);
        }
    }
}

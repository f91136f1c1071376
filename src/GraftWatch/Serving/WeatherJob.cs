using GraftWatch.Rounds.Pipeline;
using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Fetches the weather of all places now and then, so that a letter has a forecast to rest on when the source is away at its hour.</summary>
[DisallowConcurrentExecution]
internal sealed class WeatherJob(
    BeatGuard guard, WeatherGathering weather, GrowersInForce growers, ServeState state, TimeProvider clock, IHostApplicationLifetime lifetime, ILogger<WeatherJob> logger) : IJob
{
    public ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default) =>
        guard.RunAsync(context, () => WorkAsync(context, cancellationToken), cancellationToken);

    private async Task WorkAsync(IJobExecutionContext context, CancellationToken cancellationToken)
    {
        try
        {
            Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
            InForce served = await growers.LoadAsync(cancellationToken).ConfigureAwait(false);
            state.Weather(await weather.FetchAsync(served.PlacesToWatch(), now, cancellationToken).ConfigureAwait(false), now);
            await context.Scheduler.TriggerJob(new JobKey(UrgentJob.Name), cancellationToken).ConfigureAwait(false);
        }
        catch (SchedulerException) when (lifetime.ApplicationStopping.IsCancellationRequested)
        {
            // The program is ending; what is urgent in the new weather is seen after the next start.
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            Log.WeatherJobFailed(logger, e);
        }
    }
}

using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving.Metrics;
using NodaTime;
using NodaTime.Text;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Looks through all growers' mornings once a minute. One grower's trouble never holds up the others.</summary>
[DisallowConcurrentExecution]
internal sealed class MorningJob(
    BeatGuard guard, MorningRun mornings, WeatherGathering weather, GrowersInForce growers, ServeState state, ServeMetrics metrics, TimeProvider clock, ILogger<MorningJob> logger) : IJob
{
    public ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default) =>
        guard.RunAsync(context, () => WorkAsync(context, cancellationToken), cancellationToken);

    private async Task WorkAsync(IJobExecutionContext context, CancellationToken cancellationToken)
    {
        Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
        if (await GrowersAsync(cancellationToken).ConfigureAwait(false) is not { } morning)
        {
            return;
        }

        MorningShare share = MorningShare.OfJob(context.JobDetail.Key.Name);
        bool anySealed = false;

        // Growers of one place share its hours; between two looks nobody needs them.
        using IDisposable hours = weather.Hold();
        foreach (Grower grower in morning.Growers.Where(grower => share.Has(grower.Name)))
        {
            anySealed |= await LookAsync(grower, morning, now, cancellationToken).ConfigureAwait(false);
            state.Pulse.Looked();
        }

        context.Result = anySealed;

        state.Looked(share, Instant.FromDateTimeOffset(clock.GetUtcNow()));
    }

    private async Task<MorningSettings?> GrowersAsync(CancellationToken cancellationToken)
    {
        try
        {
            return (await growers.LoadAsync(cancellationToken).ConfigureAwait(false)).Morning;
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            Log.GrowersUnread(logger, e);
            return null;
        }
    }

    private async Task<bool> LookAsync(Grower grower, MorningSettings morning, Instant now, CancellationToken cancellationToken)
    {
        try
        {
            long begin = clock.GetTimestamp();
            MorningOutcome outcome = await mornings.LookAsync(grower, morning, now, cancellationToken).ConfigureAwait(false);
            Tell(grower, now, outcome);
            if (outcome is MorningOutcome.Sealed)
            {
                metrics.Round(clock.GetElapsedTime(begin));
                return true;
            }
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            state.Grower(grower.Name, "the letter could not be made: " + e.Message, isForOperator: true);
            Log.MorningFailed(logger, e, grower.Name);
        }

        return false;
    }

    private void Tell(Grower grower, Instant now, MorningOutcome outcome)
    {
        switch (outcome)
        {
            case MorningOutcome.NotYet or MorningOutcome.AlreadySealed or MorningOutcome.Closed or MorningOutcome.Crowded:
                state.Grower(grower.Name, null);
                break;
            case MorningOutcome.Sealed { IsLate: var late, WithoutWeather: var without }:
                state.Grower(grower.Name, null);
                state.Weather(without, now);
                if (late)
                {
                    Log.LateLetter(logger, grower.Name);
                }

                foreach (var place in without)
                {
                    Log.NotChecked(logger, grower.Name, place.Place.Name, place.Trouble ?? "no hours");
                }

                break;
            case MorningOutcome.WaitsForWeather { Until: var until, WithoutWeather: var without }:
                state.Weather(without, now);
                string hour = InstantPattern.General.Format(until);
                if (state.Grower(grower.Name, $"the letter waits for weather until {hour}"))
                {
                    Log.WaitsForWeather(logger, grower.Name, hour, without[0].Trouble ?? "no hours");
                }

                break;
            case MorningOutcome.TooLate { Slot: var slot }:
                string trouble = $"the letter of {LocalDatePattern.Iso.Format(slot.Date)} was not made in time";
                if (state.Grower(grower.Name, trouble, isForOperator: true))
                {
                    Log.MorningMissed(logger, grower.Name, trouble);
                }

                break;
            default:
                throw new System.Diagnostics.UnreachableException();
        }
    }
}

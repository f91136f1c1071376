using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Serving;

/// <summary>Ends the process with a failure when no look through the mornings was completed for too long, so that a service manager starts it anew.</summary>
/// <remarks>A machine that slept is not a stuck program: time counts only while this loop itself ticks.</remarks>
internal sealed class PulseGuard(
    ServeState state, BeatList beats, IJobRuns runs, TimeProvider clock, IHostApplicationLifetime lifetime, ILogger<PulseGuard> logger) : BackgroundService
{
    private const int MostSilentMinutes = 20;
    private static readonly TimeSpan Tick = TimeSpan.FromSeconds(15);
    private static readonly int MostSilentTicks = (int)(TimeSpan.FromMinutes(MostSilentMinutes) / Tick);
    private Instant lastDelivery = Instant.MinValue;

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        long seen = 0;
        int silent = 0;
        using var timer = new PeriodicTimer(Tick, clock);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false))
            {
                await AskOthersAsync(stoppingToken).ConfigureAwait(false);
                long progress = state.Pulse.Progress;
                silent = progress == seen ? silent + 1 : 0;
                seen = progress;
                if (silent >= MostSilentTicks)
                {
                    Log.Stuck(logger, MostSilentMinutes);
                    state.Stuck();
                    lifetime.StopApplication();
                    return;
                }
            }
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The host stops; nothing is stuck.
        }
    }

    // Where daemons share the work, a look is through when each share was looked through by any of them; this one must see it in the store.
    private async Task AskOthersAsync(CancellationToken cancellationToken)
    {
        if (!beats.IsShared)
        {
            return;
        }

        try
        {
            Instant oldest = Instant.MaxValue;
            foreach (MorningShare share in MorningShare.All(ServeBeat.Shares))
            {
                JobRun? run = await runs.LoadLastGoodAsync(share.JobName, cancellationToken).ConfigureAwait(false);
                oldest = Instant.Min(oldest, run?.EndedAt ?? Instant.MinValue);
            }

            if (oldest > (state.Report().LastLook ?? Instant.MinValue))
            {
                state.AllLooked(oldest);
            }

            if (beats.All.Any(beat => beat is { Name: "delivery", Scheduler: ServeBeat.Shared })
                && await runs.LoadLastGoodAsync("delivery", cancellationToken).ConfigureAwait(false) is { EndedAt: { } delivered } && delivered > lastDelivery)
            {
                lastDelivery = delivered;
                state.Pulse.Delivered();
            }
        }
        catch (System.Data.Common.DbException trouble)
        {
            Log.StoreAway(logger, trouble.Message);
        }
    }
}

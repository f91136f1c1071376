using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Serving;

/// <summary>Ends the process with a failure when no look through the mornings was completed for too long, so that a service manager starts it anew.</summary>
/// <remarks>A machine that slept is not a stuck program: time counts only while this loop itself ticks.</remarks>
internal sealed class PulseGuard(
    ServeState state, BeatList beats, IJobRuns runs, TimeProvider clock, IHostApplicationLifetime lifetime, ILogger<PulseGuard> logger) : BackgroundService
{
    private const int MostSilentTicks = 20;
    private static readonly TimeSpan Tick = TimeSpan.FromMinutes(1);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        Instant? seen = null;
        int silent = 0;
        using var timer = new PeriodicTimer(Tick, clock);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false))
            {
                await AskOthersAsync(stoppingToken).ConfigureAwait(false);
                Instant? last = state.Report().LastLook;
                silent = last == seen ? silent + 1 : 0;
                seen = last;
                if (silent >= MostSilentTicks)
                {
                    Log.Stuck(logger, MostSilentTicks);
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

    // Where daemons share the work, a look of any of them is progress as long as this one can see it in the store.
    private async Task AskOthersAsync(CancellationToken cancellationToken)
    {
        if (!beats.IsShared)
        {
            return;
        }

        try
        {
            if (await runs.LoadLastGoodAsync("morning", cancellationToken).ConfigureAwait(false) is { EndedAt: { } ended })
            {
                state.OtherLooked(ended);
            }
        }
        catch (System.Data.Common.DbException trouble)
        {
            Log.StoreAway(logger, trouble.Message);
        }
    }
}

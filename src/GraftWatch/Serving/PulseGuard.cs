using NodaTime;

namespace GraftWatch.Serving;

/// <summary>Ends the process with a failure when no look through the mornings was completed for too long, so that a service manager starts it anew.</summary>
/// <remarks>A machine that slept is not a stuck program: time counts only while this loop itself ticks.</remarks>
internal sealed class PulseGuard(ServeState state, TimeProvider clock, IHostApplicationLifetime lifetime, ILogger<PulseGuard> logger) : BackgroundService
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
}

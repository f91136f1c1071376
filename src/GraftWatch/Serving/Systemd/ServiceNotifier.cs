using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Serving.Systemd;

/// <summary>Reports to the service manager: ready after the first look through the mornings, alive only while looks and deliveries move on.</summary>
internal sealed class ServiceNotifier(
    ServiceManager manager, ServeState state, GrowersInForce growers, TimeProvider clock, IHostApplicationLifetime lifetime) : BackgroundService
{
    private static readonly ZonedDateTimePattern Hour = ZonedDateTimePattern.CreateWithInvariantCulture("ddd d MMM HH:mm z", null);
    private static readonly TimeSpan Waiting = TimeSpan.FromMilliseconds(500);
    private static readonly TimeSpan Usual = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan Longer = TimeSpan.FromSeconds(60);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using CancellationTokenRegistration stopping = lifetime.ApplicationStopping.Register(manager.Stopping);
        TimeSpan pause = manager.Watchdog is { } watchdog && watchdog / 3 < Usual ? watchdog / 3 : Usual;
        long fed = 0;
        string said = string.Empty;
        IReadOnlyList<Grower> served = [];
        try
        {
            while (!state.FirstLook.IsCompleted)
            {
                manager.Patience(Longer, state.Pulse.Held ?? "Looking through the mornings for the first time");
                await Task.WhenAny(state.FirstLook, Task.Delay(Waiting, clock, stoppingToken)).ConfigureAwait(false);
                stoppingToken.ThrowIfCancellationRequested();
            }

            using var timer = new PeriodicTimer(pause, clock);
            bool isReady = false;
            do
            {
                if (state.Pulse.Progress is var progress && progress != fed)
                {
                    fed = progress;
                    manager.Alive();
                    served = await ServedAsync(served, stoppingToken).ConfigureAwait(false);
                }

                string status = Status(served);
                if (!isReady)
                {
                    isReady = true;
                    manager.Ready(status);
                }
                else if (status != said)
                {
                    manager.Status(status);
                }

                said = status;
            }
            while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false));
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The host stops.
        }
    }

    private async Task<IReadOnlyList<Grower>> ServedAsync(IReadOnlyList<Grower> before, CancellationToken cancellationToken)
    {
        try
        {
            return (await growers.LoadAsync(cancellationToken).ConfigureAwait(false)).Morning.Growers;
        }
        catch (System.Data.Common.DbException)
        {
            return before;
        }
    }

    private string Status(IReadOnlyList<Grower> served)
    {
        Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
        IReadOnlyList<string> troubles = state.Report().Troubles;
        string amiss = troubles.Count == 0 ? string.Empty : $" Amiss: {troubles[0].TrimEnd('.')}{(troubles.Count > 1 ? $" (and {troubles.Count - 1} more)" : string.Empty)}.";
        (Grower Grower, Instant At)? next = served
            .Select(grower => ((Grower, Instant)?)(grower, LetterSchedule.NextDue(grower, now).At))
            .MinBy(due => due!.Value.Item2);
        return (next is var (who, at) ? $"Next letter: {who.Name}, {Hour.Format(at.InZone(who.Zone))}." : "Nobody gets letters yet.") + amiss;
    }
}

using GraftWatch.Forecasts.Quality;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Lets requests to one host through: not more at once, not more a minute, hour and day, and not before it wants to be asked again.</summary>
/// <remarks>The tally is kept before a request goes out, so that a crash can only make us more careful.</remarks>
internal sealed class HostGate(string host, CourtesyPolicy policy, IRequestTallies tallies, TimeProvider time) : IDisposable
{
    private readonly SemaphoreSlim inFlight = new(policy.MostInFlight, policy.MostInFlight);
    private readonly SemaphoreSlim tallyLock = new(1, 1);
    private RequestTally? tally;

    /// <summary>Waits for a turn.</summary>
    /// <param name="weight">What the service counts the request as. [calls]</param>
    /// <param name="cancellationToken">Ends the wait.</param>
    /// <returns>A turn, to be disposed when the reply has been read, or the fault that keeps us from asking.</returns>
    public async Task<(IDisposable? Turn, FetchFault? Fault)> EnterAsync(double weight, CancellationToken cancellationToken)
    {
        await inFlight.WaitAsync(cancellationToken).ConfigureAwait(false);
        bool entered = false;
        try
        {
            while (true)
            {
                (Duration wait, FetchFault? fault) = await CountAsync(weight, cancellationToken).ConfigureAwait(false);
                if (fault is not null)
                {
                    return (null, fault);
                }

                if (wait == Duration.Zero)
                {
                    entered = true;
                    return (new Turn(inFlight), null);
                }

                await Task.Delay(wait.ToTimeSpan(), time, cancellationToken).ConfigureAwait(false);
            }
        }
        finally
        {
            if (!entered)
            {
                inFlight.Release();
            }
        }
    }

    /// <summary>Leaves the host alone until then.</summary>
    public async Task HoldAsync(Instant notBefore, string why, CancellationToken cancellationToken)
    {
        await tallyLock.WaitAsync(cancellationToken).ConfigureAwait(false);
        try
        {
            Instant now = Now();
            RequestTally current = await LoadAsync(now, cancellationToken).ConfigureAwait(false);
            Instant until = Instant.Min(notBefore, now + policy.LongestRetryAfter);
            if (current.NotBefore is not { } held || held < until)
            {
                await SaveAsync(current with { NotBefore = until, Why = why }, cancellationToken).ConfigureAwait(false);
            }
        }
        finally
        {
            tallyLock.Release();
        }
    }

    public void Dispose()
    {
        inFlight.Dispose();
        tallyLock.Dispose();
    }

    private async Task<(Duration Wait, FetchFault? Fault)> CountAsync(double weight, CancellationToken cancellationToken)
    {
        await tallyLock.WaitAsync(cancellationToken).ConfigureAwait(false);
        try
        {
            Instant now = Now();
            RequestTally current = await LoadAsync(now, cancellationToken).ConfigureAwait(false);
            if (current.NotBefore is { } notBefore && notBefore > now)
            {
                return (Duration.Zero, new FetchFault(
                    FetchFaultKind.TooMany, $"{host} is not asked again before {QuantityWords.Stamp(notBefore)}: {current.Why}", false, notBefore));
            }

            if (current.DayUsed + weight > policy.PerDay)
            {
                return (Duration.Zero, UsedUp("day", NextWindow(now, NodaConstants.SecondsPerDay)));
            }

            if (current.HourUsed + weight > policy.PerHour)
            {
                return (Duration.Zero, UsedUp("hour", NextWindow(now, NodaConstants.SecondsPerHour)));
            }

            if (current.MinuteUsed > 0 && current.MinuteUsed + weight > policy.PerMinute)
            {
                Duration wait = NextWindow(now, NodaConstants.SecondsPerMinute) - now;
                return wait <= policy.LongestWait ? (wait, null) : (Duration.Zero, UsedUp("minute", now + wait));
            }

            await SaveAsync(
                current with { MinuteUsed = current.MinuteUsed + weight, HourUsed = current.HourUsed + weight, DayUsed = current.DayUsed + weight },
                cancellationToken).ConfigureAwait(false);
            return (Duration.Zero, null);
        }
        finally
        {
            tallyLock.Release();
        }
    }

    private FetchFault UsedUp(string window, Instant next) => new(
        FetchFaultKind.ShareUsedUp,
        $"this {window}'s share of requests to {host} is used up; it is asked again after {QuantityWords.Stamp(next)}",
        false,
        next);

    /// <summary>The tally with every window that has ended since emptied.</summary>
    private async Task<RequestTally> LoadAsync(Instant now, CancellationToken cancellationToken)
    {
        tally ??= await tallies.FindAsync(host, cancellationToken).ConfigureAwait(false) ?? new RequestTally(host, now, 0, 0, 0, null, string.Empty);
        long before = tally.CountedAt.ToUnixTimeSeconds(), seconds = now.ToUnixTimeSeconds();

        // After the clock was set back the counts stay: they can only be too high.
        return tally with
        {
            CountedAt = Instant.Max(now, tally.CountedAt),
            MinuteUsed = Ended(NodaConstants.SecondsPerMinute) ? 0 : tally.MinuteUsed,
            HourUsed = Ended(NodaConstants.SecondsPerHour) ? 0 : tally.HourUsed,
            DayUsed = Ended(NodaConstants.SecondsPerDay) ? 0 : tally.DayUsed,
        };

        bool Ended(long window) => seconds / window > before / window;
    }

    private async Task SaveAsync(RequestTally changed, CancellationToken cancellationToken)
    {
        tally = changed;
        await tallies.SaveAsync(changed, cancellationToken).ConfigureAwait(false);
    }

    private static Instant NextWindow(Instant now, long windowSeconds) =>
        Instant.FromUnixTimeSeconds(((now.ToUnixTimeSeconds() / windowSeconds) + 1) * windowSeconds);

    private Instant Now() => Instant.FromDateTimeOffset(time.GetUtcNow());

    private sealed class Turn(SemaphoreSlim inFlight) : IDisposable
    {
        private int done;

        public void Dispose()
        {
            if (Interlocked.Exchange(ref done, 1) == 0)
            {
                inFlight.Release();
            }
        }
    }
}

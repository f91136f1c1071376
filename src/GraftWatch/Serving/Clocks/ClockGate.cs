using GraftWatch.Records;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Serving.Clocks;

/// <summary>Closed while the machine's clock is in doubt: then nothing is made, sent or thrown away, and the reason is told.</summary>
/// <remarks>
/// A clock before this program was made, or before what the store already noted, is wrong. One that is suddenly more than a
/// day further than it can be, or was at the last note, may be right: a machine was off, or a time service set it. A witness
/// decides; where none answers, a clock that is ahead is believed after a while, for a letter must never be missing because a
/// server was away. Slots keep every wrong decision from sending anything twice.
/// </remarks>
internal sealed class ClockGate(
    TimeProvider clock, IClockWitness witness, RecordsStore store, BeatList beats, ServeState state, ILogger<ClockGate> logger) : BackgroundService
{
    private static readonly TimeSpan Tick = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(30);

    private readonly SemaphoreSlim one = new(1);
    private Instant? floor;
    private (Instant Wall, long Stamp)? trusted;
    private long? doubtedSince;

    /// <summary>Looks at the clock now, so that no job runs on a clock that jumped a moment ago.</summary>
    /// <returns>Whether it may be worked by.</returns>
    internal async Task<bool> IsOpenAsync(CancellationToken cancellationToken)
    {
        await one.WaitAsync(cancellationToken).ConfigureAwait(false);
        try
        {
            return await LookAsync(cancellationToken).ConfigureAwait(false);
        }
        finally
        {
            one.Release();
        }
    }

    public override async Task StartAsync(CancellationToken cancellationToken)
    {
        floor = await store.Figures.LoadNewestAsync(cancellationToken).ConfigureAwait(false);
        await IsOpenAsync(cancellationToken).ConfigureAwait(false);
        await base.StartAsync(cancellationToken).ConfigureAwait(false);
    }

    public override void Dispose()
    {
        one.Dispose();
        base.Dispose();
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Tick, clock);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false))
            {
                await IsOpenAsync(stoppingToken).ConfigureAwait(false);
            }
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The host stops.
        }
    }

    private async Task<bool> LookAsync(CancellationToken cancellationToken)
    {
        Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
        long stamp = clock.GetTimestamp();
        if (await DoubtAsync(now, stamp, cancellationToken).ConfigureAwait(false) is not { } doubt)
        {
            Trust(now, stamp, "it agrees again with what is known");
            return true;
        }

        ClockWord word = await ClockDoubt.AskAsync(now, witness, cancellationToken).ConfigureAwait(false);
        doubtedSince ??= stamp;
        bool waitedLong = clock.GetElapsedTime(doubtedSince.Value, stamp) >= Patience;
        if (word.Verdict == ClockVerdict.Right || (word.Verdict == ClockVerdict.NoAnswer && doubt.IsAhead && waitedLong))
        {
            Trust(now, stamp, word.Words);
            return true;
        }

        if (state.Pulse.Held is null)
        {
            Log.ClockDoubted(logger, doubt.Words, word.Words);
        }

        state.Pulse.Hold($"{doubt.Sentence(word)} No letter is made or sent until it is set right; see the machine's time service");
        return false;
    }

    private async Task<ClockDoubt?> DoubtAsync(Instant now, long stamp, CancellationToken cancellationToken)
    {
        Instant? expected = trusted is (var wall, var since) ? wall + Duration.FromTimeSpan(clock.GetElapsedTime(since, stamp)) : floor;
        return ClockDoubt.Of(now, floor, expected)
            ?? (beats.IsShared ? await ClockDoubt.OfServerAsync(now, store, cancellationToken).ConfigureAwait(false) : null);
    }

    private void Trust(Instant now, long stamp, string why)
    {
        if (doubtedSince is not null)
        {
            Log.ClockTrusted(logger, InstantPattern.General.Format(now), why);
            doubtedSince = null;
            state.Pulse.Resume();
        }

        floor = now;
        trusted = (now, stamp);
    }
}

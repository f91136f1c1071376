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
    /// <summary>No machine runs this program before.</summary>
    internal static readonly Instant FirstSensible = Instant.FromUtc(2026, 1, 1, 0, 0);

    private static readonly TimeSpan Tick = TimeSpan.FromSeconds(10);
    private static readonly Duration Behind = Duration.FromMinutes(2);
    private static readonly Duration Ahead = Duration.FromHours(26);
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

        ClockWord word = now < FirstSensible ? ClockWord.Silent : await witness.AskAsync(now, cancellationToken).ConfigureAwait(false);
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

        state.Pulse.Hold($"The clock is not to be trusted: {doubt.Words} ({word.Words}). No letter is made or sent until it is set right; see the machine's time service");
        return false;
    }

    private async Task<Doubt?> DoubtAsync(Instant now, long stamp, CancellationToken cancellationToken)
    {
        string says = $"it says {InstantPattern.General.Format(now)}";
        if (now < FirstSensible)
        {
            return new Doubt($"{says}, before this program was made", IsAhead: false);
        }

        if (floor is { } known && now < known - Behind)
        {
            return new Doubt($"{says}, but {InstantPattern.General.Format(known)} is already noted", IsAhead: false);
        }

        Instant? expected = trusted is (var wall, var since) ? wall + Duration.FromTimeSpan(clock.GetElapsedTime(since, stamp)) : floor;
        if (expected is { } at && now - at > Ahead)
        {
            return new Doubt($"{says}, far ahead of {InstantPattern.General.Format(at)}", IsAhead: true);
        }

        return beats.IsShared ? await DoubtOfServerAsync(now, says, cancellationToken).ConfigureAwait(false) : null;
    }

    // Daemons that share a server must agree on the hour.
    private async Task<Doubt?> DoubtOfServerAsync(Instant now, string says, CancellationToken cancellationToken)
    {
        try
        {
            Instant theirs = await store.Figures.LoadClockAsync(cancellationToken).ConfigureAwait(false);
            return now - theirs > Behind || theirs - now > Behind
                ? new Doubt($"{says}, the store's server {InstantPattern.General.Format(theirs)}", IsAhead: false)
                : null;
        }
        catch (System.Data.Common.DbException)
        {
            return null; // A server that is away holds everything up by itself.
        }
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

    private sealed record Doubt(string Words, bool IsAhead);
}

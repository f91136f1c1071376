using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Shares waiting letters among workers and machines: a claimed letter is nobody else's until its lease ends.</summary>
/// <remarks>
/// Leases are measured by the store's clock, so the clocks of the machines may differ. Each claim has an epoch; a holder who
/// slept past its lease finds the epoch moved on. Acceptance is a fact and is recorded whoever holds the letter by then.
/// </remarks>
public interface ILetterClaims
{
    /// <summary>Claims waiting letters whose time has come and that are still of use, urgent notes first, then oldest first.</summary>
    /// <param name="owner">Name of the worker, stable over restarts.</param>
    /// <param name="wish">Which, and how many.</param>
    /// <param name="lease">How long they stay the owner's.</param>
    /// <param name="now">The instant of the run; letters whose next try lies later are left.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task<IReadOnlyList<ClaimedLetter>> ClaimAsync(string owner, ClaimWish wish, Duration lease, Instant now, CancellationToken cancellationToken);

    /// <summary>Claims on any channel.</summary>
    /// <inheritdoc cref="ClaimAsync(string, ClaimWish, Duration, Instant, CancellationToken)"/>
    Task<IReadOnlyList<ClaimedLetter>> ClaimAsync(string owner, int most, Duration lease, Instant now, CancellationToken cancellationToken) =>
        ClaimAsync(owner, new ClaimWish(most), lease, now, cancellationToken);

    /// <summary>Notes, before the first byte of the letter goes out, that it is being handed over, and renews the lease.</summary>
    /// <returns>False when the claim was lost or the letter no longer waits; then nothing may be sent.</returns>
    Task<bool> StartAsync(ClaimedLetter claim, Duration lease, CancellationToken cancellationToken);

    /// <summary>Shows other workers that this one is there, for as long as the program is; again after the store was away.</summary>
    Task ShowPresenceAsync(string owner, CancellationToken cancellationToken);

    /// <summary>Notes the outcome of the try and lets the letter go.</summary>
    /// <param name="claim">The claim.</param>
    /// <param name="result">The outcome.</param>
    /// <param name="at">When.</param>
    /// <param name="nextTryAt">Not before; null when nothing is left to try or at once.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>False when the claim was lost and the outcome was not an acceptance; then nothing is noted.</returns>
    Task<bool> FinishAsync(ClaimedLetter claim, DeliveryResult result, Instant at, Instant? nextTryAt, CancellationToken cancellationToken);

    /// <summary>Lets claimed letters go that were not started; no try is noted.</summary>
    Task LetGoAsync(IReadOnlyList<ClaimedLetter> claims, CancellationToken cancellationToken);

    /// <summary>Lets all of an owner's letters go; for a worker that starts again and knows it has none in hand.</summary>
    /// <returns>Letters that were being handed over when the worker died: whether they arrived is not known.</returns>
    Task<IReadOnlyList<LetterSlot>> TakeBackAsync(string owner, Instant now, CancellationToken cancellationToken);

    /// <summary>Gives up waiting letters that have lost their use and are in nobody's hands, with the reason; a few at a time.</summary>
    /// <returns>Those given up now, as they stand after it.</returns>
    Task<IReadOnlyList<LedgerEntry>> GiveUpUselessAsync(Instant now, int most, CancellationToken cancellationToken);
}

/// <summary>Which letters a worker wants.</summary>
/// <param name="Most">At most so many.</param>
public sealed record ClaimWish(int Most)
{
    /// <summary>Only this channel; null for any.</summary>
    public string? Only { get; init; }

    /// <summary>Not these channels.</summary>
    public IReadOnlyCollection<string> Except { get; init; } = [];

    /// <summary>Only the letters of this occasion, on any channel, and those too whose next try lies later: somebody asked for them. Null for every occasion.</summary>
    public LetterSlot? Occasion { get; init; }
}

/// <summary>A letter in one worker's hands.</summary>
/// <param name="Entry">The letter.</param>
/// <param name="Owner">The worker.</param>
/// <param name="Epoch">Grows with each claim of the letter.</param>
public sealed record ClaimedLetter(LedgerEntry Entry, string Owner, long Epoch);

using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Shares waiting letters among workers and machines: a claimed letter is nobody else's until its lease ends.</summary>
/// <remarks>
/// Leases are measured by the store's clock, so the clocks of the machines may differ. Each claim has an epoch; a holder who
/// slept past its lease finds the epoch moved on. Acceptance is a fact and is recorded whoever holds the letter by then.
/// </remarks>
public interface ILetterClaims
{
    /// <summary>Claims waiting letters whose time has come, urgent notes first, then oldest first.</summary>
    /// <param name="owner">Name of the worker, stable over restarts.</param>
    /// <param name="most">At most so many.</param>
    /// <param name="lease">How long they stay the owner's.</param>
    /// <param name="now">The instant of the run; letters whose next try lies later are left.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task<IReadOnlyList<ClaimedLetter>> ClaimAsync(string owner, int most, Duration lease, Instant now, CancellationToken cancellationToken);

    /// <summary>Notes, before the first byte of the letter goes out, that it is being handed over, and renews the lease.</summary>
    /// <returns>False when the claim was lost; then nothing may be sent.</returns>
    Task<bool> StartAsync(ClaimedLetter claim, Duration lease, CancellationToken cancellationToken);

    /// <summary>Notes the outcome of the try and lets the letter go.</summary>
    /// <param name="claim">The claim.</param>
    /// <param name="result">The outcome.</param>
    /// <param name="at">When.</param>
    /// <param name="nextTryAt">Not before; null when nothing is left to try or at once.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>False when the claim was lost and the outcome was not an acceptance; then nothing is noted.</returns>
    Task<bool> FinishAsync(ClaimedLetter claim, DeliveryResult result, Instant at, Instant? nextTryAt, CancellationToken cancellationToken);

    /// <summary>Lets all of an owner's letters go; for a worker that starts again and knows it has none in hand.</summary>
    /// <returns>Letters that were being handed over when the worker died: whether they arrived is not known.</returns>
    Task<IReadOnlyList<LetterSlot>> TakeBackAsync(string owner, Instant now, CancellationToken cancellationToken);
}

/// <summary>A letter in one worker's hands.</summary>
/// <param name="Entry">The letter.</param>
/// <param name="Owner">The worker.</param>
/// <param name="Epoch">Grows with each claim of the letter.</param>
public sealed record ClaimedLetter(LedgerEntry Entry, string Owner, long Epoch);

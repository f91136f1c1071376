using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>What was said to whom. A slot is taken once, for ever; its bytes never change.</summary>
public interface ILedger
{
    /// <summary>The letter of a slot, or null when the slot is free.</summary>
    Task<LedgerEntry?> FindAsync(LetterSlot slot, CancellationToken cancellationToken);

    /// <summary>The running number the grower's next letter will have.</summary>
    Task<int> NextNumberAsync(string grower, CancellationToken cancellationToken);

    /// <summary>Takes the slot and keeps the sealed bytes in one transaction; false when another run took it first.</summary>
    Task<bool> SealAsync(SealedLetter letter, CancellationToken cancellationToken);

    /// <summary>Notes the outcome of a try.</summary>
    Task RecordTryAsync(LetterSlot slot, DeliveryResult result, Instant at, CancellationToken cancellationToken);

    /// <summary>Sealed letters that have not been accepted or given up, oldest first.</summary>
    Task<IReadOnlyList<LedgerEntry>> LoadWaitingAsync(CancellationToken cancellationToken);
}

/// <summary>A letter and how far it has come.</summary>
/// <param name="Letter">The sealed letter.</param>
/// <param name="State">How far.</param>
/// <param name="Tries">Tries so far.</param>
/// <param name="LastTryAt">When it was last tried; null when never.</param>
/// <param name="LastDetail">What the last try said; empty when never tried.</param>
public sealed record LedgerEntry(SealedLetter Letter, LetterState State, int Tries, Instant? LastTryAt, string LastDetail);

/// <summary>How far a letter has come.</summary>
public enum LetterState
{
    /// <summary>Sealed, waiting to be handed over.</summary>
    Waiting = 0,

    /// <summary>The server took it and said so.</summary>
    Accepted,

    /// <summary>Given up; the reason is kept.</summary>
    GivenUp,
}

using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>What was said to whom. A slot is taken once, for ever; its bytes never change.</summary>
public interface ILedger
{
    /// <summary>The letter of a slot, or null when the slot is free.</summary>
    Task<LedgerEntry?> FindAsync(LetterSlot slot, CancellationToken cancellationToken);

    /// <summary>How a grower's letters of one kind stand for one date, over all channels. Cheap: no bytes are read.</summary>
    Task<DayOfLetters> LookAsync(string grower, LocalDate date, LetterKind kind, CancellationToken cancellationToken);

    /// <summary>The letters of one occasion, one a channel; the slot's own channel does not matter.</summary>
    Task<IReadOnlyList<LedgerEntry>> LoadOccasionAsync(LetterSlot slot, CancellationToken cancellationToken);

    /// <summary>The grower's newest letter of a kind on a channel before a date, however long ago; null when there is none.</summary>
    Task<LedgerEntry?> FindLastAsync(string grower, LetterKind kind, string channel, LocalDate before, CancellationToken cancellationToken);

    /// <summary>The running number the grower's next letter will have.</summary>
    Task<int> NextNumberAsync(string grower, CancellationToken cancellationToken);

    /// <summary>Takes the slot and keeps the sealed bytes in one transaction; false when another run took it first.</summary>
    Task<bool> SealAsync(SealedLetter letter, CancellationToken cancellationToken);

    /// <summary>Notes the outcome of a try.</summary>
    Task RecordTryAsync(LetterSlot slot, DeliveryResult result, Instant at, CancellationToken cancellationToken);

    /// <summary>Sealed letters that have not been accepted or given up, oldest first.</summary>
    Task<IReadOnlyList<LedgerEntry>> LoadWaitingAsync(CancellationToken cancellationToken);

    /// <summary>How many letters wait on each channel; channels without any are left out.</summary>
    Task<IReadOnlyList<WaitingOnChannel>> CountWaitingAsync(CancellationToken cancellationToken);
}

/// <summary>A letter and how far it has come.</summary>
/// <param name="Letter">The sealed letter.</param>
/// <param name="State">How far.</param>
/// <param name="Tries">Tries so far.</param>
/// <param name="LastTryAt">When it was last tried; null when never.</param>
/// <param name="LastDetail">What the last try said; empty when never tried.</param>
public sealed record LedgerEntry(SealedLetter Letter, LetterState State, int Tries, Instant? LastTryAt, string LastDetail);

/// <summary>Letters of one grower, date and kind.</summary>
/// <param name="Sealed">Occasions sealed so far, which is also the next ordinal; copies on several channels count once.</param>
/// <param name="LastSealedAt">When the last one was sealed; null when there is none.</param>
/// <param name="IsClosed">Whether the date lies before the day from which a restored or tidied store makes letters: nothing can be sealed for it.</param>
public sealed record DayOfLetters(int Sealed, Instant? LastSealedAt, bool IsClosed);

/// <summary>Letters that wait on one channel.</summary>
/// <param name="Channel">Name of the channel.</param>
/// <param name="Letters">How many.</param>
/// <param name="OldestSealedAt">When the oldest of them was sealed.</param>
public sealed record WaitingOnChannel(string Channel, int Letters, Instant OldestSealedAt);

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

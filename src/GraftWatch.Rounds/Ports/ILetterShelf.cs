using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Letters to look at, for who runs the program. Nothing here changes anything.</summary>
public interface ILetterShelf
{
    /// <summary>Letters, newest first, without their bytes.</summary>
    /// <param name="wish">Which.</param>
    /// <param name="most">How many at most.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task<IReadOnlyList<ShelvedLetter>> LoadAsync(ShelfWish wish, int most, CancellationToken cancellationToken);

    /// <summary>One letter with its bytes; null when there is none with that number.</summary>
    Task<ShelvedLetter?> FindAsync(long id, CancellationToken cancellationToken);

    /// <summary>The copies of the same letter on every channel, without their bytes, this one too.</summary>
    Task<IReadOnlyList<ShelvedLetter>> LoadCopiesAsync(long id, CancellationToken cancellationToken);

    /// <summary>The tries of a letter, in order.</summary>
    Task<IReadOnlyList<LetterTry>> LoadTriesAsync(long id, CancellationToken cancellationToken);
}

/// <summary>A letter as it lies in the store.</summary>
/// <param name="Id">Its number in the store; grows with each letter sealed.</param>
/// <param name="Entry">The letter and how far it has come.</param>
/// <param name="Why">Reason of the last try; null when never tried.</param>
/// <param name="NextTryAt">Not tried again before; null when at once or nothing is left to try.</param>
public sealed record ShelvedLetter(long Id, LedgerEntry Entry, DeliveryReason? Why, Instant? NextTryAt);

/// <summary>One try to hand a letter over.</summary>
/// <param name="Number">Which, from 1.</param>
/// <param name="At">When it ended.</param>
/// <param name="Result">What became of it, with the server's words.</param>
public sealed record LetterTry(int Number, Instant At, DeliveryResult Result);

/// <summary>Which letters to look at.</summary>
public sealed record ShelfWish
{
    /// <summary>How far they have come.</summary>
    public ShelfState State { get; init; }

    /// <summary>Only this grower's; null for everybody's.</summary>
    public string? Grower { get; init; }

    /// <summary>Only those sealed before the letter with this number; null for the newest.</summary>
    public long? Before { get; init; }
}

/// <summary>How far letters have come, as people ask for them.</summary>
public enum ShelfState
{
    /// <summary>However far.</summary>
    Any = 0,

    /// <summary>Sealed, not handed over yet.</summary>
    Waiting,

    /// <summary>Handed over, with a receipt.</summary>
    HandedOver,

    /// <summary>Given up, for whatever reason.</summary>
    GivenUp,

    /// <summary>Given up because they had lost their use.</summary>
    TooLate,
}

using GraftWatch.Aftercare.Advising;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Turns a round into a letter.</summary>
public interface ILetterComposer
{
    /// <summary>Composes and seals the morning letter.</summary>
    /// <param name="round">What to say.</param>
    /// <param name="grower">To whom.</param>
    /// <param name="number">Running number of the grower's letters.</param>
    /// <param name="now">The instant of the run; becomes the letter's date.</param>
    SealedLetter Compose(Round round, Grower grower, int number, Instant now);

    /// <summary>Composes and seals the morning letter, with what must be said at its top.</summary>
    /// <param name="round">What to say.</param>
    /// <param name="grower">To whom.</param>
    /// <param name="occasion">Which letter it is.</param>
    SealedLetter Compose(Round round, Grower grower, LetterOccasion occasion) => Compose(round, grower, occasion.Number, occasion.Now);

    /// <summary>Composes and seals the copies of a letter for all channels the grower wants it on.</summary>
    /// <param name="round">What to say; for an urgent note only what is new.</param>
    /// <param name="grower">To whom.</param>
    /// <param name="occasion">Which letter it is.</param>
    /// <returns>One a channel, at least one.</returns>
    IReadOnlyList<SealedLetter> ComposeAll(Round round, Grower grower, LetterOccasion occasion) => [Compose(round, grower, occasion)];
}

/// <summary>Which letter is composed, and what must be said at its top.</summary>
/// <param name="Number">Running number of the grower's letters.</param>
/// <param name="Now">The instant of the run; becomes the letter's date.</param>
/// <param name="DueAt">When the letter was due; a late one says so.</param>
/// <param name="Notice">What else must be said, such as that yesterday's letter did not go out; empty for nothing.</param>
/// <param name="Previous">The grower's letter before this one; null when there was none.</param>
public sealed record LetterOccasion(int Number, Instant Now, Instant? DueAt = null, string Notice = "", SealedLetter? Previous = null)
{
    /// <summary>The morning letter, or an urgent note.</summary>
    public LetterKind Kind { get; init; }

    /// <summary>Which of its kind that day, from 0.</summary>
    public int Ordinal { get; init; }

    /// <summary>From when the letter has lost its use; null for the usual time.</summary>
    public Instant? UsefulUntil { get; init; }
}

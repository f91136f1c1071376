using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Composes a letter for each of the grower's channels and seals all copies with what they say in one transaction.</summary>
/// <remarks>The running number is part of the bytes. When another letter of the grower takes it meanwhile, the letter is composed once more.</remarks>
public sealed class LetterSealing(ILetterComposer composer, ILedger ledger, ISaidMemory said)
{
    private const int MostRuns = 2;

    /// <summary>Composes and seals.</summary>
    /// <param name="round">What to say.</param>
    /// <param name="grower">To whom.</param>
    /// <param name="occasion">Which letter it is; its number is given here.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    public async Task<SealingOutcome> SealAsync(Round round, Grower grower, LetterOccasion occasion, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(round);
        ArgumentNullException.ThrowIfNull(grower);
        ArgumentNullException.ThrowIfNull(occasion);
        for (int run = 1; run <= MostRuns; run++)
        {
            int number = await ledger.NextNumberAsync(grower.Name, cancellationToken).ConfigureAwait(false);
            SealedLetter[] letters = [.. composer.ComposeAll(round, grower, occasion with { Number = number }).Select(letter => letter with { UsefulUntil = occasion.UsefulUntil })];
            try
            {
                return await said.SealAsync(letters, SaidLine.Of(round), cancellationToken).ConfigureAwait(false)
                    ? new SealingOutcome.Sealed(letters)
                    : new SealingOutcome.Taken();
            }
            catch (LetterNumberTakenException)
            {
                // The next run asks for the number anew.
            }
        }

        return new SealingOutcome.Crowded();
    }

    /// <summary>The channels of copies, for a log.</summary>
    internal static string ChannelsOf(IReadOnlyList<SealedLetter> letters) => string.Join(", ", letters.Select(letter => letter.Slot.Channel));
}

/// <summary>What became of sealing.</summary>
public abstract record SealingOutcome
{
    private SealingOutcome()
    {
    }

    /// <summary>The copies wait to be handed over.</summary>
    /// <param name="Letters">One a channel; at least one.</param>
    public sealed record Sealed(IReadOnlyList<SealedLetter> Letters) : SealingOutcome;

    /// <summary>The occasion has its letter already, or its day is closed.</summary>
    public sealed record Taken : SealingOutcome;

    /// <summary>Other letters took the running number each time.</summary>
    public sealed record Crowded : SealingOutcome;
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>What became of one look at a grower's morning.</summary>
public abstract record MorningOutcome
{
    private MorningOutcome()
    {
    }

    /// <summary>Nothing is due.</summary>
    public sealed record NotYet(DueLetter Next) : MorningOutcome;

    /// <summary>Today's letter exists already.</summary>
    public sealed record AlreadySealed(LetterSlot Slot) : MorningOutcome;

    /// <summary>The letter was made and sealed; it waits to be handed over.</summary>
    /// <param name="Letters">The letter, one copy a channel; at least one.</param>
    /// <param name="IsLate">Whether it should have gone earlier.</param>
    /// <param name="WithoutWeather">Places it could not check.</param>
    public sealed record Sealed(IReadOnlyList<SealedLetter> Letters, bool IsLate, IReadOnlyList<PlaceWeather> WithoutWeather) : MorningOutcome
    {
        /// <summary>The first copy.</summary>
        public SealedLetter Letter => Letters[0];
    }

    /// <summary>The letter waits a little for weather that could not be fetched.</summary>
    public sealed record WaitsForWeather(LetterSlot Slot, Instant Until, IReadOnlyList<PlaceWeather> WithoutWeather) : MorningOutcome;

    /// <summary>No letter is made for the day any more: the store was restored or tidied, and the day may have had its letter.</summary>
    public sealed record Closed(LetterSlot Slot) : MorningOutcome;

    /// <summary>Other letters of the grower took the running number twice in a row; the next look tries again.</summary>
    public sealed record Crowded(LetterSlot Slot) : MorningOutcome;

    /// <summary>The hour passed unused and the letter has lost its use.</summary>
    public sealed record TooLate(LetterSlot Slot) : MorningOutcome;
}

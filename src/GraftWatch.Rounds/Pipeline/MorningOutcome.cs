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
    /// <param name="Letter">The letter.</param>
    /// <param name="IsLate">Whether it should have gone earlier.</param>
    /// <param name="WithoutWeather">Places it could not check.</param>
    public sealed record Sealed(SealedLetter Letter, bool IsLate, IReadOnlyList<PlaceWeather> WithoutWeather) : MorningOutcome;

    /// <summary>The letter waits a little for weather that could not be fetched.</summary>
    public sealed record WaitsForWeather(LetterSlot Slot, Instant Until, IReadOnlyList<PlaceWeather> WithoutWeather) : MorningOutcome;

    /// <summary>The hour passed unused and the letter has lost its use.</summary>
    public sealed record TooLate(LetterSlot Slot) : MorningOutcome;
}

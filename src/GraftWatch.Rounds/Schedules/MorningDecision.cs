namespace GraftWatch.Rounds.Schedules;

/// <summary>What is to be done about a grower's morning letter at one instant.</summary>
public abstract record MorningDecision
{
    private MorningDecision()
    {
    }

    /// <summary>Nothing; the next letter falls due later.</summary>
    public sealed record NotYet(DueLetter Next) : MorningDecision;

    /// <summary>Today's letter is due, unless its slot is taken already.</summary>
    /// <param name="Letter">Which.</param>
    /// <param name="IsLate">Whether it should have gone earlier: the program was not running, or the machine slept.</param>
    public sealed record Due(DueLetter Letter, bool IsLate) : MorningDecision;

    /// <summary>Today's letter, if it was not made in time, is no longer worth making.</summary>
    public sealed record TooLate(DueLetter Letter) : MorningDecision;
}

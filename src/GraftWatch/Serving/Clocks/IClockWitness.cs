using NodaTime;

namespace GraftWatch.Serving.Clocks;

/// <summary>Says whether the machine's clock is right; asked only when there is doubt.</summary>
internal interface IClockWitness
{
    /// <summary>Asks.</summary>
    /// <param name="now">What the machine's clock says.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    Task<ClockWord> AskAsync(Instant now, CancellationToken cancellationToken);
}

/// <summary>What a witness says of the clock.</summary>
/// <param name="Verdict">Right, wrong, or no answer.</param>
/// <param name="Words">Who says so, and what; ends a sentence.</param>
internal sealed record ClockWord(ClockVerdict Verdict, string Words)
{
    internal static ClockWord Silent { get; } = new(ClockVerdict.NoAnswer, "nobody could be asked");
}

/// <summary>Whether a clock is right.</summary>
internal enum ClockVerdict
{
    /// <summary>Nobody could be asked.</summary>
    NoAnswer = 0,

    /// <summary>It is right.</summary>
    Right,

    /// <summary>It is wrong.</summary>
    Wrong,
}

/// <summary>Takes the clock's word for it, where a test moves the clock itself.</summary>
internal sealed class TrustingWitness : IClockWitness
{
    public Task<ClockWord> AskAsync(Instant now, CancellationToken cancellationToken) => Task.FromResult(new ClockWord(ClockVerdict.Right, "it is taken at its word"));
}

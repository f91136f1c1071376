using NodaTime;

namespace GraftWatch.Rounds.Schedules;

/// <summary>When a letter that was not taken is tried again. The only place that knows; channels try once, loops ask here.</summary>
/// <remarks>The pauses grow to half an hour, which RFC 5321 section 4.5.4.1 gives as the pause to settle at, and stop at the too-late hour.</remarks>
public static class RetryPolicy
{
    private static readonly Duration[] Pauses =
    [
        Duration.FromSeconds(30), Duration.FromMinutes(2), Duration.FromMinutes(5), Duration.FromMinutes(10), Duration.FromMinutes(20), Duration.FromMinutes(30),
    ];

    /// <summary>Pause after a number of tries that failed; none before the first.</summary>
    public static Duration PauseAfter(int tries) => tries <= 0 ? Duration.Zero : Pauses[Math.Min(tries, Pauses.Length) - 1];

    /// <summary>What is to be done with a letter now.</summary>
    /// <param name="tries">Tries so far.</param>
    /// <param name="lastTryAt">When it was last tried; null when never.</param>
    /// <param name="tooLateAt">From when it has lost its use.</param>
    /// <param name="now">The instant of the run.</param>
    public static RetryDecision Decide(int tries, Instant? lastTryAt, Instant tooLateAt, Instant now)
    {
        if (now >= tooLateAt)
        {
            return new RetryDecision(RetryStep.TooLate, now);
        }

        Instant next = lastTryAt is { } last ? last + PauseAfter(tries) : now;
        // A clock set back must not hold a letter for longer than its pause.
        bool clockWentBack = lastTryAt > now;
        return next <= now || clockWentBack
            ? new RetryDecision(RetryStep.Try, now)
            : new RetryDecision(RetryStep.Wait, next);
    }
}

/// <summary>An answer of <see cref="RetryPolicy"/>.</summary>
/// <param name="Step">What to do.</param>
/// <param name="At">Now, or until when to wait.</param>
public readonly record struct RetryDecision(RetryStep Step, Instant At);

/// <summary>What to do with a waiting letter.</summary>
public enum RetryStep
{
    /// <summary>Try to hand it over.</summary>
    Try = 0,

    /// <summary>Not yet.</summary>
    Wait,

    /// <summary>Never again; it has lost its use.</summary>
    TooLate,
}

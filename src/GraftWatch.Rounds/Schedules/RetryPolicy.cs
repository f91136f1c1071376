using System.Text;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Schedules;

/// <summary>When a letter that was not taken is tried again. The only place that knows; channels try once, loops ask here.</summary>
/// <remarks>
/// The pauses grow to half an hour, which RFC 5321 section 4.5.4.1 gives as the pause to settle at. They are spread by up to a
/// fifth, so that what failed together does not come back together; the spread follows from the letter and the try, never from chance.
/// </remarks>
public static class RetryPolicy
{
    /// <summary>Longest wait a server may ask for.</summary>
    public static readonly Duration LongestAsked = Duration.FromHours(1);

    /// <summary>Pause after a try whose outcome is not known: the server may be about to deliver what it has (RFC 1047).</summary>
    public static readonly Duration DoubtPause = Duration.FromMinutes(15);

    private const double Spread = 0.2;

    private static readonly Duration[] Pauses =
    [
        Duration.FromSeconds(30), Duration.FromMinutes(2), Duration.FromMinutes(5), Duration.FromMinutes(10), Duration.FromMinutes(20), Duration.FromMinutes(30),
    ];

    /// <summary>Pause after a number of tries that failed; none before the first.</summary>
    public static Duration PauseAfter(int tries) => tries <= 0 ? Duration.Zero : Pauses[Math.Min(tries, Pauses.Length) - 1];

    /// <summary>The same pause, spread by up to a fifth either way.</summary>
    /// <param name="tries">Tries that failed.</param>
    /// <param name="key">What is tried; the same key and try give the same pause.</param>
    public static Duration PauseAfter(int tries, string key)
    {
        ArgumentNullException.ThrowIfNull(key);
        double share = Fraction(tries, key);
        return PauseAfter(tries) * (1 + (Spread * ((2 * share) - 1)));
    }

    /// <summary>When a letter may be tried again after a try that did not end it.</summary>
    /// <param name="letter">The letter.</param>
    /// <param name="tries">Tries so far, this one included.</param>
    /// <param name="result">What became of the try.</param>
    /// <param name="now">The instant of the try.</param>
    public static Instant NextTryAt(SealedLetter letter, int tries, DeliveryResult result, Instant now)
    {
        ArgumentNullException.ThrowIfNull(letter);
        ArgumentNullException.ThrowIfNull(result);
        Duration pause = PauseAfter(tries, letter.MessageId);
        if (result.Outcome == DeliveryOutcome.Unknown && letter.Slot.Kind != LetterKind.Urgent)
        {
            pause = Duration.Max(pause, DoubtPause);
        }

        return now + (result.RetryAfter is { } asked ? Duration.Max(pause, Duration.Min(asked, LongestAsked)) : pause);
    }

    // FNV-1a over key and try, then its bits mixed: keys that differ in a digit must not get neighbouring pauses.
    private static double Fraction(int tries, string key)
    {
        ulong hash = 14695981039346656037;
        foreach (byte one in Encoding.UTF8.GetBytes(key))
        {
            hash = unchecked((hash ^ one) * 1099511628211);
        }

        hash = unchecked((hash ^ (uint)tries) * 0x9E3779B97F4A7C15);
        hash ^= hash >> 31;
        hash = unchecked(hash * 0xBF58476D1CE4E5B9);
        return (hash >> 11) / (double)(1UL << 53);
    }
}

using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Whether a channel works, as far as its last tries tell. What a server says of one letter does not count against it.</summary>
internal sealed class ChannelPulse(string name)
{
    private readonly Lock gate = new();
    private bool proven;
    private int failures;
    private Instant failedAt;
    private Instant notBefore = Instant.MinValue;
    private DeliveryResult? trouble;

    /// <summary>Whether its last answer came from a server that works.</summary>
    public bool IsProven
    {
        get
        {
            lock (gate)
            {
                return proven;
            }
        }
    }

    /// <summary>Whether a letter may be tried now.</summary>
    public bool MayTry(Instant now)
    {
        lock (gate)
        {
            // A clock set back must not hold a channel for longer than its pause.
            return now >= notBefore || (failures > 0 && failedAt > now);
        }
    }

    /// <summary>Takes a try into account.</summary>
    public void Note(DeliveryResult result, Instant at)
    {
        lock (gate)
        {
            bool serverFailed = result.Outcome != DeliveryOutcome.Accepted
                && result.Reason is DeliveryReason.Connection or DeliveryReason.SignIn or DeliveryReason.Security or DeliveryReason.NotSetUp;
            if (serverFailed)
            {
                // Letters that were on the line together fail together; that is one failure of the server.
                failures = failures > 0 && at < notBefore ? failures : failures + 1;
                failedAt = at;
                notBefore = at + RetryPolicy.PauseAfter(failures, name);
                trouble = result;
                proven = false;
                return;
            }

            proven = true;
            failures = 0;
            trouble = null;
            notBefore = result is { Outcome: DeliveryOutcome.TryLater, RetryAfter: { } asked } ? at + Duration.Min(asked, RetryPolicy.LongestAsked) : Instant.MinValue;
            failedAt = at;
        }
    }

    /// <summary>What is wrong with it; null when nothing is known to be.</summary>
    public ChannelTrouble? TroubleOf(string channel)
    {
        lock (gate)
        {
            return trouble is { } last ? new ChannelTrouble(channel, last.Reason, last.Detail, failures) : null;
        }
    }
}

/// <summary>A channel that cannot be used at present.</summary>
/// <param name="Channel">Its name.</param>
/// <param name="Reason">Why.</param>
/// <param name="Detail">The server's or system's words.</param>
/// <param name="Failures">How often in a row.</param>
public sealed record ChannelTrouble(string Channel, DeliveryReason Reason, string Detail, int Failures);

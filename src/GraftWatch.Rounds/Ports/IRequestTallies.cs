using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Remembers over restarts how much each weather service was asked and until when it wants to be left alone.</summary>
public interface IRequestTallies
{
    /// <summary>The tally of a host, or null when it was never asked.</summary>
    Task<RequestTally?> FindAsync(string host, CancellationToken cancellationToken);

    /// <summary>Keeps a tally in place of the host's earlier one.</summary>
    Task SaveAsync(RequestTally tally, CancellationToken cancellationToken);
}

/// <summary>What one host was asked.</summary>
/// <param name="Host">Host name.</param>
/// <param name="CountedAt">When the counts were last brought up to date; windows that have ended since count as empty.</param>
/// <param name="MinuteUsed">Weight of the requests of the running UTC minute. [calls]</param>
/// <param name="HourUsed">Weight of the requests of the running UTC hour. [calls]</param>
/// <param name="DayUsed">Weight of the requests of the running UTC day. [calls]</param>
/// <param name="NotBefore">The host asked to be left alone until then; null when it did not.</param>
/// <param name="Why">Its reason in words, or empty.</param>
public sealed record RequestTally(string Host, Instant CountedAt, double MinuteUsed, double HourUsed, double DayUsed, Instant? NotBefore, string Why);

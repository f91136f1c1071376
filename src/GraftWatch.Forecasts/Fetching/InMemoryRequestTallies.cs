using System.Collections.Concurrent;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Tallies that last as long as the process.</summary>
public sealed class InMemoryRequestTallies : IRequestTallies
{
    private readonly ConcurrentDictionary<string, RequestTally> tallies = new(StringComparer.Ordinal);

    /// <inheritdoc/>
    public Task<RequestTally?> FindAsync(string host, CancellationToken cancellationToken) =>
        Task.FromResult(tallies.GetValueOrDefault(host));

    /// <inheritdoc/>
    public Task SaveAsync(RequestTally tally, CancellationToken cancellationToken)
    {
        tallies[tally.Host] = tally;
        return Task.CompletedTask;
    }
}

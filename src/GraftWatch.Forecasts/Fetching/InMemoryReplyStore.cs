using System.Collections.Concurrent;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Replies kept as long as the process lasts.</summary>
public sealed class InMemoryReplyStore : IReplyStore
{
    private readonly ConcurrentDictionary<string, KeptReply> replies = new(StringComparer.Ordinal);

    /// <inheritdoc/>
    public Task<KeptReply?> FindAsync(string key, CancellationToken cancellationToken) => Task.FromResult(replies.GetValueOrDefault(key));

    /// <inheritdoc/>
    public Task SaveAsync(KeptReply reply, CancellationToken cancellationToken)
    {
        replies[reply.Key] = reply;
        return Task.CompletedTask;
    }
}

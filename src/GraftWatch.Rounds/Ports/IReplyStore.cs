using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Keeps replies of services that want to be asked conditionally, over restarts.</summary>
public interface IReplyStore
{
    /// <summary>The reply kept under a key, or null.</summary>
    Task<KeptReply?> FindAsync(string key, CancellationToken cancellationToken);

    /// <summary>Keeps a reply in place of the key's earlier one.</summary>
    Task SaveAsync(KeptReply reply, CancellationToken cancellationToken);
}

/// <summary>A kept reply.</summary>
/// <param name="Key">What was asked.</param>
/// <param name="Body">The body, decompressed.</param>
/// <param name="ETag">Entity tag to send back, or null.</param>
/// <param name="LastModified">Last-Modified exactly as the service wrote it, to send back, or null.</param>
/// <param name="Expires">Not to be asked again before; null when not said.</param>
/// <param name="FetchedAt">When it was fetched or last confirmed.</param>
public sealed record KeptReply(string Key, ReadOnlyMemory<byte> Body, string? ETag, string? LastModified, Instant? Expires, Instant FetchedAt);

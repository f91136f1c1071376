using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Which calendar address of a grower is in force. The address is made from the number, so that it can be shown again and taken away.</summary>
public interface IFeeds
{
    /// <summary>The number in force; null while the grower has no feed.</summary>
    Task<int?> FindAsync(string grower, CancellationToken cancellationToken);

    /// <summary>Gives the grower a new number; the old address no longer answers.</summary>
    Task<int> RenewAsync(string grower, Instant now, CancellationToken cancellationToken);

    /// <summary>Closes the feed.</summary>
    Task CloseAsync(string grower, Instant now, CancellationToken cancellationToken);
}

using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Growers, their places and channels, where an installation keeps them in the store and not in its settings file.</summary>
public interface IGrowerBook
{
    /// <summary>All growers, by name.</summary>
    Task<IReadOnlyList<Grower>> LoadGrowersAsync(CancellationToken cancellationToken);

    /// <summary>The grower with a name, whatever the case of its ASCII letters; null when there is none.</summary>
    Task<Grower?> FindGrowerAsync(string name, CancellationToken cancellationToken);

    /// <summary>The grower who gets letters at an address, whatever its case; null when nobody does.</summary>
    Task<Grower?> FindGrowerByAddressAsync(string address, CancellationToken cancellationToken);

    /// <summary>Adds a grower or replaces what is known of them.</summary>
    Task SaveGrowerAsync(Grower grower, CancellationToken cancellationToken);

    /// <summary>Adds a grower who is new, with all that belongs to them: everything or, when something is another's, nothing.</summary>
    Task<JoinOutcome> JoinAsync(Joining joining, CancellationToken cancellationToken);

    /// <summary>Adds a place to a grower's, or changes one that nobody else of the book has; keeps what else changed of the grower with it.</summary>
    /// <param name="grower">The grower as they are with the place.</param>
    /// <param name="place">The place.</param>
    /// <param name="isNew">Whether the grower did not have it before.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>False when the place is another's too, or a new one's name is taken; then nothing is kept.</returns>
    Task<bool> KeepPlaceAsync(Grower grower, Place place, bool isNew, CancellationToken cancellationToken);

    /// <summary>All places, by name.</summary>
    Task<IReadOnlyList<Place>> LoadPlacesAsync(CancellationToken cancellationToken);

    /// <summary>Adds a place or replaces what is known of it.</summary>
    Task SavePlaceAsync(Place place, CancellationToken cancellationToken);

    /// <summary>The grower's channels, in their order of preference.</summary>
    Task<IReadOnlyList<GrowerChannel>> LoadChannelsAsync(string grower, CancellationToken cancellationToken);

    /// <summary>The channels of all growers by name, each grower's in their order of preference.</summary>
    Task<ILookup<string, GrowerChannel>> LoadAllChannelsAsync(CancellationToken cancellationToken);

    /// <summary>Makes the grower's channels exactly these.</summary>
    Task SaveChannelsAsync(string grower, IReadOnlyList<GrowerChannel> channels, CancellationToken cancellationToken);
}

/// <summary>A grower who is new, and what belongs to them.</summary>
/// <param name="Grower">The grower; nobody of the book may have the name or address, whatever the case.</param>
/// <param name="Place">A place nobody knows yet; null when the grower's are known.</param>
/// <param name="Channels">Their channels; none for mail alone.</param>
/// <param name="Person">What the pages know of their address; null leaves that as it is.</param>
public sealed record Joining(Grower Grower, Place? Place, IReadOnlyList<GrowerChannel> Channels, Person? Person);

/// <summary>What came of adding a grower.</summary>
public enum JoinOutcome
{
    /// <summary>The grower is in the book.</summary>
    Joined = 0,

    /// <summary>A grower has the name.</summary>
    NameTaken,

    /// <summary>A grower gets letters at the address.</summary>
    AddressTaken,

    /// <summary>A place has the name.</summary>
    PlaceTaken,
}

/// <summary>A way to reach a grower.</summary>
/// <param name="Name">The grower's word for it, unique among theirs.</param>
/// <param name="Kind">Key of the kind of channel, one of <see cref="GrowerChannelKinds"/>.</param>
/// <param name="Target">Address in the channel's own form; never a secret.</param>
/// <param name="Morning">Whether the morning letter goes there.</param>
/// <param name="Urgent">Whether urgent notes go there.</param>
/// <param name="HeldFrom">Local time from which urgent notes are held; null when never.</param>
/// <param name="HeldTo">Local time until which they are held.</param>
public sealed record GrowerChannel(string Name, string Kind, string Target, bool Morning, bool Urgent, LocalTime? HeldFrom = null, LocalTime? HeldTo = null);

/// <summary>Kinds of channels a grower may enter. Brokers and rooms are the operator's to name, in the settings.</summary>
public static class GrowerChannelKinds
{
    /// <summary>The grower's mail address.</summary>
    public const string Mail = "mail";

    /// <summary>A JSON POST with a Standard Webhooks signature.</summary>
    public const string SignedPost = "signed-post";

    /// <summary>A short plain-text POST.</summary>
    public const string TextPost = "text-post";

    /// <summary>All of them.</summary>
    public static IReadOnlyList<string> All { get; } = [Mail, SignedPost, TextPost];
}

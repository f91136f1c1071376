using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>People who use the pages: links that came by mail, sessions, and what they chose. Addresses are compared in lower case.</summary>
public interface IPeople
{
    /// <summary>Keeps a link and the mail that carries it, both or neither.</summary>
    /// <param name="link">The link; only its hash is kept.</param>
    /// <param name="mail">The mail, sealed.</param>
    /// <param name="most">Most links the address may get within <paramref name="within"/>.</param>
    /// <param name="within">How far back links are counted.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>False when the address got its share; then nothing is kept.</returns>
    Task<bool> OfferAsync(EntryLink link, PageMail mail, int most, Duration within, CancellationToken cancellationToken);

    /// <summary>A link that is in force at an instant; changes nothing.</summary>
    Task<EntryLink?> FindLinkAsync(ReadOnlyMemory<byte> hash, Instant now, CancellationToken cancellationToken);

    /// <summary>Uses a link up and opens a session for its address, in one transaction; null when the link is not in force.</summary>
    /// <param name="link">Hash of the link.</param>
    /// <param name="session">Hash of the new session.</param>
    /// <param name="device">What the browser says it is, for the list of sessions.</param>
    /// <param name="now">The instant.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task<EntryLink?> EnterAsync(ReadOnlyMemory<byte> link, ReadOnlyMemory<byte> session, string device, Instant now, CancellationToken cancellationToken);

    /// <summary>
    /// Uses a link up and moves a grower of the store to the address it came to: letters, person, a session for who pressed; the sessions
    /// of the old address end. In one transaction; null when the link is not in force, the grower is gone or the address has become another's.
    /// </summary>
    /// <param name="link">Hash of the link.</param>
    /// <param name="session">Hash of the new session.</param>
    /// <param name="device">What the browser says it is, for the list of sessions.</param>
    /// <param name="now">The instant.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task<EntryLink?> ChangeAddressAsync(ReadOnlyMemory<byte> link, ReadOnlyMemory<byte> session, string device, Instant now, CancellationToken cancellationToken);

    /// <summary>A session that is neither ended nor idle for too long; null otherwise.</summary>
    Task<PageSession?> FindSessionAsync(ReadOnlyMemory<byte> hash, Instant now, CancellationToken cancellationToken);

    /// <summary>Notes that a session was used.</summary>
    Task SeeAsync(long session, Instant now, CancellationToken cancellationToken);

    /// <summary>The open sessions of an address, newest first.</summary>
    Task<IReadOnlyList<PageSession>> LoadSessionsAsync(string address, Instant now, CancellationToken cancellationToken);

    /// <summary>Ends one session of an address, or all of them; with all of them ends every change of the address that was asked for.</summary>
    /// <param name="address">Whose; another's session is never ended.</param>
    /// <param name="session">Which; null for all.</param>
    /// <param name="now">The instant.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task EndSessionsAsync(string address, long? session, Instant now, CancellationToken cancellationToken);

    /// <summary>What is known of a person; null when nothing is.</summary>
    Task<Person?> FindAsync(string address, CancellationToken cancellationToken);

    /// <summary>Keeps what is known of a person.</summary>
    Task SaveAsync(Person person, CancellationToken cancellationToken);

    /// <summary>Deletes an address, its links, sessions and mails, and all that is kept of its grower, with places nobody else has. In one transaction.</summary>
    /// <param name="address">The address.</param>
    /// <param name="grower">Name of its grower; null when there is none.</param>
    /// <param name="othersPlaces">Names of places that are others' although no grower of the book has them: those of the settings file.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task DeleteAsync(string address, string? grower, IReadOnlyCollection<string> othersPlaces, CancellationToken cancellationToken);

    /// <summary>Drops links and sessions that are over and mails that are done with.</summary>
    Task<int> TidyAsync(Instant now, CancellationToken cancellationToken);
}

/// <summary>A link that came by mail and proves that its reader owns the address.</summary>
/// <param name="Hash">SHA-256 of the token.</param>
/// <param name="Address">Mail address.</param>
/// <param name="Purpose">What it is for.</param>
/// <param name="Target">Path of the page to open afterwards, empty for the first one; for a change of address the one that is left.</param>
/// <param name="MadeAt">When it was made.</param>
/// <param name="EndsAt">First instant at which it no longer works.</param>
public sealed record EntryLink(ReadOnlyMemory<byte> Hash, string Address, EntryPurpose Purpose, string Target, Instant MadeAt, Instant EndsAt);

/// <summary>What a link by mail is for.</summary>
public enum EntryPurpose
{
    /// <summary>To sign in.</summary>
    SignIn = 0,

    /// <summary>To confirm that the owner of the address wants letters.</summary>
    Subscribe,

    /// <summary>To confirm that a grower's letters shall go to the address from now on.</summary>
    ChangeAddress,
}

/// <summary>A browser that is signed in.</summary>
/// <param name="Id">Its number.</param>
/// <param name="Address">Who.</param>
/// <param name="Device">What the browser said it was.</param>
/// <param name="OpenedAt">Since when.</param>
/// <param name="SeenAt">When it was last used, within an hour.</param>
public sealed record PageSession(long Id, string Address, string Device, Instant OpenedAt, Instant SeenAt)
{
    /// <summary>Days without use after which a session ends.</summary>
    public const int IdleDays = 90;
}

/// <summary>What is known of an address besides its grower.</summary>
/// <param name="Address">Mail address, in lower case.</param>
/// <param name="Language">Language of the pages, such as <c>de</c>; null for what the browser prefers.</param>
/// <param name="AskedAt">When letters were asked for; null when they were not, on these pages.</param>
/// <param name="ConfirmedAt">When the owner confirmed it.</param>
public sealed record Person(string Address, string? Language, Instant? AskedAt, Instant? ConfirmedAt);

using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Mails of the pages that wait for the mail server.</summary>
public interface IPageMails
{
    /// <summary>Keeps a mail that carries no link, such as a notice.</summary>
    Task KeepAsync(PageMail mail, CancellationToken cancellationToken);

    /// <summary>Takes mails that may be tried now, oldest first, for a while in which nobody else takes them.</summary>
    /// <param name="now">The instant.</param>
    /// <param name="hold">For how long they are taken; a program that dies meanwhile leaves them to be taken again.</param>
    /// <param name="most">How many at once.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task<IReadOnlyList<PageMail>> TakeDueAsync(Instant now, Duration hold, int most, CancellationToken cancellationToken);

    /// <summary>Notes a try; what was taken or given up loses its bytes.</summary>
    /// <param name="mail">Number of the mail.</param>
    /// <param name="result">What became of it.</param>
    /// <param name="nextAt">When to try again; null when there is no use in it.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task RecordAsync(long mail, DeliveryResult result, Instant? nextAt, CancellationToken cancellationToken);

    /// <summary>Mails that wait.</summary>
    Task<int> CountWaitingAsync(CancellationToken cancellationToken);
}

/// <summary>A mail of the pages, byte for byte.</summary>
/// <param name="Id">Its number; 0 before it is kept.</param>
/// <param name="Address">To whom.</param>
/// <param name="MessageId">Message-ID without angle brackets.</param>
/// <param name="Subject">Subject.</param>
/// <param name="Bytes">The message (RFC 5322).</param>
/// <param name="SealedAt">When it was sealed.</param>
/// <param name="UsefulUntil">From when it is no longer worth sending.</param>
/// <param name="Tries">Tries so far.</param>
public sealed record PageMail(long Id, string Address, string MessageId, string Subject, ReadOnlyMemory<byte> Bytes, Instant SealedAt, Instant UsefulUntil, int Tries = 0);

using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>One letter as it will be sent, byte for byte, now and on every further try.</summary>
/// <param name="Slot">Which letter it is: one a grower, local date, kind, ordinal and channel.</param>
/// <param name="Number">Running number of the grower's letters, from 1; copies of one letter on several channels share it.</param>
/// <param name="MessageId">Message-ID without angle brackets; stable for the slot.</param>
/// <param name="Recipient">Mail address, or the name of the channel's target.</param>
/// <param name="Subject">Subject.</param>
/// <param name="Bytes">What is sent: by mail a message (RFC 5322) with CRLF line ends, by another channel its body.</param>
/// <param name="SealedAt">When it was sealed.</param>
public sealed record SealedLetter(LetterSlot Slot, int Number, string MessageId, string Recipient, string Subject, ReadOnlyMemory<byte> Bytes, Instant SealedAt)
{
    /// <summary>How long a letter without <see cref="UsefulUntil"/> is of use after it was sealed.</summary>
    public static readonly Duration UsualUse = Duration.FromHours(12);

    /// <summary>From when it has lost its use and is no longer handed over; null for <see cref="UsualUse"/> after sealing.</summary>
    public Instant? UsefulUntil { get; init; }

    /// <summary>How many bytes it had, where they were let go after their time; null while they are kept. [B]</summary>
    public long? BytesLetGo { get; init; }
}

/// <summary>The unique key of a letter.</summary>
/// <param name="Grower">Grower's name.</param>
/// <param name="Date">Local date.</param>
/// <param name="Kind">Which letter of the day.</param>
/// <param name="Ordinal">Which of its kind that day, from 0; morning letters have only 0.</param>
public sealed record LetterSlot(string Grower, LocalDate Date, LetterKind Kind, int Ordinal = 0)
{
    /// <summary>Name of the channel that reaches the grower by mail.</summary>
    public const string Mail = "mail";

    /// <summary>In whose name mails to the operator are kept; no grower.</summary>
    public const string OperatorName = "(operator)";

    private const string OwnPrefix = "own:";

    /// <summary>Name of the channel; each channel keeps its own receipt.</summary>
    public string Channel { get; init; } = Mail;

    /// <summary>The channel name of a way that belongs to one grower only and not to the settings.</summary>
    /// <param name="name">The grower's word for it.</param>
    public static string Own(string name) => OwnPrefix + name;

    /// <summary>The grower's word for a channel, when it is one of theirs.</summary>
    public static bool IsOwn(string channel, out string name)
    {
        ArgumentNullException.ThrowIfNull(channel);
        bool own = channel.StartsWith(OwnPrefix, StringComparison.Ordinal);
        name = own ? channel[OwnPrefix.Length..] : string.Empty;
        return own;
    }
}

/// <summary>Letters of a day.</summary>
public enum LetterKind
{
    /// <summary>The morning letter.</summary>
    Morning = 0,

    /// <summary>An urgent note between two letters.</summary>
    Urgent,

    /// <summary>A mail to who runs the program: something is amiss.</summary>
    Operator,
}

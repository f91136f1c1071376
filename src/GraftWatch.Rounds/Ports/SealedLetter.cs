using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>One letter as it will be sent, byte for byte, now and on every further try.</summary>
/// <param name="Slot">Which letter it is: one a grower, local date and kind.</param>
/// <param name="Number">Running number of the grower's letters, from 1.</param>
/// <param name="MessageId">Message-ID without angle brackets; stable for the slot.</param>
/// <param name="Recipient">Mail address, or the name of the channel's target.</param>
/// <param name="Subject">Subject.</param>
/// <param name="Bytes">What is sent: by mail a message (RFC 5322) with CRLF line ends, by another channel its body.</param>
/// <param name="SealedAt">When it was sealed.</param>
public sealed record SealedLetter(LetterSlot Slot, int Number, string MessageId, string Recipient, string Subject, ReadOnlyMemory<byte> Bytes, Instant SealedAt);

/// <summary>The unique key of a letter.</summary>
/// <param name="Grower">Grower's name.</param>
/// <param name="Date">Local date.</param>
/// <param name="Kind">Which letter of the day.</param>
/// <param name="Ordinal">Which of its kind that day, from 0; only urgent notes go beyond 0.</param>
public sealed record LetterSlot(string Grower, LocalDate Date, LetterKind Kind, int Ordinal = 0)
{
    /// <summary>Name of the channel that reaches the grower by mail.</summary>
    public const string Mail = "mail";

    /// <summary>Name of the channel; each channel keeps its own receipt.</summary>
    public string Channel { get; init; } = Mail;
}

/// <summary>Letters of a day.</summary>
public enum LetterKind
{
    /// <summary>The morning letter.</summary>
    Morning = 0,

    /// <summary>An urgent note between two letters.</summary>
    Urgent,
}

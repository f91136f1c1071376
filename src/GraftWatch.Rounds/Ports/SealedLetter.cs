using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>One letter as it will be sent, byte for byte, now and on every further try.</summary>
/// <param name="Slot">Which letter it is: one a grower, local date and kind.</param>
/// <param name="Number">Running number of the grower's letters, from 1.</param>
/// <param name="MessageId">Message-ID without angle brackets; stable for the slot.</param>
/// <param name="Recipient">Mail address.</param>
/// <param name="Subject">Subject.</param>
/// <param name="Bytes">The message (RFC 5322), CRLF line ends.</param>
/// <param name="SealedAt">When it was sealed.</param>
public sealed record SealedLetter(LetterSlot Slot, int Number, string MessageId, string Recipient, string Subject, ReadOnlyMemory<byte> Bytes, Instant SealedAt);

/// <summary>The unique key of a letter.</summary>
/// <param name="Grower">Grower's name.</param>
/// <param name="Date">Local date.</param>
/// <param name="Kind">Which letter of the day.</param>
/// <param name="Ordinal">Which of its kind that day, from 0; only urgent notes go beyond 0.</param>
public sealed record LetterSlot(string Grower, LocalDate Date, LetterKind Kind, int Ordinal = 0);

/// <summary>Letters of a day.</summary>
public enum LetterKind
{
    /// <summary>The morning letter.</summary>
    Morning = 0,

    /// <summary>An urgent note between two letters.</summary>
    Urgent,
}

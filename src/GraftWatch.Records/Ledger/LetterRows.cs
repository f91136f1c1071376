using System.Data.Common;
using System.Globalization;
using System.Security.Cryptography;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Ledger;

/// <summary>Letters as rows.</summary>
internal static class LetterRows
{
    /// <summary>Detail of a letter whose bytes no longer are what was sealed.</summary>
    public const string DamagedDetail = "set aside: the stored bytes are not the sealed ones";

    /// <summary>The bytes of a letter <c>l</c>, wherever they lie.</summary>
    public const string Bytes = "COALESCE((SELECT b.bytes FROM letter_bytes b WHERE b.letter_id = l.id), l.bytes)";

    /// <summary>How many bytes a letter <c>l</c> has or had.</summary>
    public const string Size = "(COALESCE(l.bytes_let_go, 0) + length(l.bytes) + COALESCE((SELECT length(b.bytes) FROM letter_bytes b WHERE b.letter_id = l.id), 0))";

    public const string Select =
        $"""
        SELECT g.name, l.local_date, l.kind, l.ordinal, l.number, l.message_id, l.recipient, l.subject, {Bytes}, l.sealed_at, l.state, l.tries, l.last_try_at, l.last_detail, l.bytes_hash, l.id, l.channel, l.useful_until, l.bytes_let_go
        FROM letter l JOIN grower g ON g.id = l.grower_id
        """;

    /// <summary>The letters of an occasion, on whatever channel.</summary>
    public const string IsOccasion = "g.name = @grower AND l.local_date = @date AND l.kind = @kind AND l.ordinal = @ordinal";

    public const string IsSlot = IsOccasion + " AND l.channel = @channel";

    /// <summary>From when a waiting letter has lost its use.</summary>
    public static readonly string UselessFrom = string.Create(CultureInfo.InvariantCulture, $"COALESCE(useful_until, sealed_at + {SealedLetter.UsualUse.BclCompatibleTicks})");

    public static (string Name, object? Value)[] Key(LetterSlot slot) =>
        [.. OccasionKey(slot), ("@channel", slot.Channel)];

    public static (string Name, object? Value)[] OccasionKey(LetterSlot slot) =>
        [("@grower", slot.Grower), ("@date", Stored.Date(slot.Date)), ("@kind", Stored.Word(slot.Kind)), ("@ordinal", slot.Ordinal)];

    public static LoadedLetter Map(DbDataReader reader)
    {
        byte[] bytes = reader.Bytes(8);
        var slot = new LetterSlot(reader.GetString(0), reader.Date(1), reader.Word<LetterKind>(2), reader.Whole(3)) { Channel = reader.GetString(16) };
        var letter = new SealedLetter(slot, reader.Whole(4), reader.GetString(5), reader.GetString(6), reader.GetString(7), bytes, reader.Instant(9)) { UsefulUntil = reader.InstantOrNull(17), BytesLetGo = reader.IsDBNull(18) ? null : reader.GetInt64(18) };
        var entry = new LedgerEntry(letter, reader.Word<LetterState>(10), reader.Whole(11), reader.InstantOrNull(12), reader.GetString(13));
        return new LoadedLetter(reader.GetInt64(15), entry, letter.BytesLetGo is not null || SHA256.HashData(bytes).AsSpan().SequenceEqual(reader.Bytes(14)));
    }

    /// <summary>Gives up letters whose bytes are not what was sealed; the others go on.</summary>
    public static async Task SetAsideAsync(SqlSession session, IReadOnlyList<long> letters)
    {
        foreach (long letter in letters)
        {
            await session.ExecuteAsync(
                "UPDATE letter SET state = 'given-up', last_detail = @detail WHERE id = @letter AND state = 'waiting'",
                ("@detail", DamagedDetail),
                ("@letter", letter)).ConfigureAwait(false);
        }
    }
}

/// <summary>A letter read back.</summary>
/// <param name="Id">Its row.</param>
/// <param name="Entry">The letter.</param>
/// <param name="Sound">Whether the bytes are the sealed ones, or were let go after their time.</param>
internal sealed record LoadedLetter(long Id, LedgerEntry Entry, bool Sound);

using System.Data.Common;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Ledger;

/// <summary>Letters to look at.</summary>
/// <remarks>
/// The columns behind a letter's bytes are dear to read, so what is looked for is found in the small table of tries or in the
/// index of waiting letters, and only the letters of one page are read.
/// </remarks>
internal sealed class LetterShelf(SqlEngine engine) : ILetterShelf
{
    private const string Columns =
        """
        SELECT l.id, g.name, l.local_date, l.kind, l.ordinal, l.channel, l.number, l.message_id, l.recipient, l.subject, l.sealed_at, l.useful_until,
            l.state, l.tries, l.last_try_at, l.last_detail, l.next_try_at, t.reason
        FROM letter l JOIN grower g ON g.id = l.grower_id LEFT JOIN letter_try t ON t.letter_id = l.id AND t.number = l.tries
        """;

    public Task<IReadOnlyList<ShelvedLetter>> LoadAsync(ShelfWish wish, int most, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(wish);
        string where = wish.Grower is null ? " WHERE l.id IN (" + Candidates(wish.State) + ") AND " : " WHERE g.name = @grower AND l.id < @before AND ";
        return engine.ReadAsync<IReadOnlyList<ShelvedLetter>>(
            async session => await session.ListAsync(
                Map,
                Columns + where + Holds(wish.State) + " ORDER BY l.id DESC LIMIT @most",
                ("@grower", wish.Grower ?? string.Empty),
                ("@before", wish.Before ?? long.MaxValue),
                ("@most", most)).ConfigureAwait(false),
            cancellationToken);
    }

    public Task<ShelvedLetter?> FindAsync(long id, CancellationToken cancellationToken) => engine.ReadAsync(
        async session =>
        {
            ShelvedLetter? found = await session.FirstAsync(Map, session.Command(Columns + " WHERE l.id = @id", ("@id", id))).ConfigureAwait(false);
            LoadedLetter? whole = await session.FirstAsync(LetterRows.Map, session.Command(LetterRows.Select + " WHERE l.id = @id", ("@id", id))).ConfigureAwait(false);
            return found is null || whole is null ? null : found with { Entry = whole.Entry };
        },
        cancellationToken);

    public Task<IReadOnlyList<ShelvedLetter>> LoadCopiesAsync(long id, CancellationToken cancellationToken) => engine.ReadAsync<IReadOnlyList<ShelvedLetter>>(
        async session => await session.ListAsync(
            Map,
            Columns + " JOIN letter o ON o.grower_id = l.grower_id AND o.local_date = l.local_date AND o.kind = l.kind AND o.ordinal = l.ordinal WHERE o.id = @id ORDER BY l.id",
            ("@id", id)).ConfigureAwait(false),
        cancellationToken);

    public Task<IReadOnlyList<LetterTry>> LoadTriesAsync(long id, CancellationToken cancellationToken) => engine.ReadAsync<IReadOnlyList<LetterTry>>(
        async session => await session.ListAsync(
            reader => new LetterTry(reader.Whole(0), reader.Instant(1), new DeliveryResult(reader.Word<DeliveryOutcome>(2), reader.Word<DeliveryReason>(3), reader.GetString(4))),
            "SELECT number, at, outcome, reason, detail FROM letter_try WHERE letter_id = @id ORDER BY number",
            ("@id", id)).ConfigureAwait(false),
        cancellationToken);

    private static string Candidates(ShelfState state) => state switch
    {
        ShelfState.Any => "SELECT id FROM letter WHERE id < @before ORDER BY id DESC LIMIT @most",
        ShelfState.Waiting => "SELECT id FROM letter WHERE state = 'waiting' AND id < @before",
        ShelfState.HandedOver => Tried("outcome = 'accepted'"),
        ShelfState.GivenUp => Tried("outcome = 'give-up'"),
        ShelfState.TooLate => Tried("outcome = 'give-up' AND reason = 'too-late'"),
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    private static string Tried(string how) => "SELECT DISTINCT letter_id FROM letter_try WHERE " + how + " AND letter_id < @before ORDER BY letter_id DESC LIMIT @most";

    private static string Holds(ShelfState state) => state switch
    {
        ShelfState.Any => "1 = 1",
        ShelfState.Waiting => "l.state = 'waiting'",
        ShelfState.HandedOver => "l.state = 'accepted'",
        ShelfState.GivenUp => "l.state = 'given-up'",
        ShelfState.TooLate => "l.state = 'given-up' AND t.reason = 'too-late'",
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    private static ShelvedLetter Map(DbDataReader reader)
    {
        var slot = new LetterSlot(reader.GetString(1), reader.Date(2), reader.Word<LetterKind>(3), reader.Whole(4)) { Channel = reader.GetString(5) };
        var letter = new SealedLetter(slot, reader.Whole(6), reader.GetString(7), reader.GetString(8), reader.GetString(9), default, reader.Instant(10)) { UsefulUntil = reader.InstantOrNull(11) };
        var entry = new LedgerEntry(letter, reader.Word<LetterState>(12), reader.Whole(13), reader.InstantOrNull(14), reader.GetString(15));
        return new ShelvedLetter(reader.GetInt64(0), entry, reader.IsDBNull(17) ? null : reader.Word<DeliveryReason>(17), reader.InstantOrNull(16));
    }
}

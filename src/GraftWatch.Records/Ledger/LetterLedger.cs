using System.Security.Cryptography;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Ledger;

/// <summary>Letters, tries and receipts, and what the letters said.</summary>
internal sealed class LetterLedger(SqlEngine engine) : ILedger, ISaidMemory
{
    /// <summary>Name of the note that holds the first local date a letter may still be sealed for.</summary>
    public const string ForgottenBefore = "letters-forgotten-before";

    public Task<LedgerEntry?> FindAsync(LetterSlot slot, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(slot);
        return engine.ReadAsync(
            async session => (await session.FirstAsync(
                LetterRows.Map,
                session.Command(LetterRows.Select + " WHERE " + LetterRows.IsSlot, LetterRows.Key(slot))).ConfigureAwait(false))?.Entry,
            cancellationToken);
    }

    public Task<DayOfLetters> LookAsync(string grower, LocalDate date, LetterKind kind, CancellationToken cancellationToken) =>
        engine.ReadAsync(
            async session =>
            {
                Day day = (await session.FirstAsync(
                    reader => new Day(reader.IsDBNull(0) ? 0 : reader.Whole(0) + 1, reader.InstantOrNull(1)),
                    session.Command(
                        "SELECT max(l.ordinal), max(l.sealed_at) FROM letter l JOIN grower g ON g.id = l.grower_id WHERE g.name = @grower AND l.local_date = @date AND l.kind = @kind",
                        ("@grower", grower),
                        ("@date", Stored.Date(date)),
                        ("@kind", Stored.Word(kind)))).ConfigureAwait(false))!;
                return new DayOfLetters(day.Sealed, day.LastSealedAt, await IsClosedAsync(session, date).ConfigureAwait(false));
            },
            cancellationToken);

    public Task<IReadOnlyList<LedgerEntry>> LoadOccasionAsync(LetterSlot slot, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(slot);
        return engine.ReadAsync<IReadOnlyList<LedgerEntry>>(
            async session => (await session.ListAsync(LetterRows.Map, LetterRows.Select + " WHERE " + LetterRows.IsOccasion + " ORDER BY l.id", LetterRows.OccasionKey(slot)).ConfigureAwait(false))
                .Select(loaded => loaded.Entry).ToArray(),
            cancellationToken);
    }

    public Task<LedgerEntry?> FindLastAsync(string grower, LetterKind kind, string channel, LocalDate before, CancellationToken cancellationToken) =>
        engine.ReadAsync(
            async session => (await session.FirstAsync(
                LetterRows.Map,
                session.Command(
                    LetterRows.Select + " WHERE g.name = @grower AND l.kind = @kind AND l.channel = @channel AND l.local_date < @before ORDER BY l.local_date DESC, l.ordinal DESC LIMIT 1",
                    ("@grower", grower),
                    ("@kind", Stored.Word(kind)),
                    ("@channel", channel),
                    ("@before", Stored.Date(before)))).ConfigureAwait(false))?.Entry,
            cancellationToken);

    public Task<IReadOnlyList<WaitingOnChannel>> CountWaitingAsync(CancellationToken cancellationToken) =>
        engine.ReadAsync<IReadOnlyList<WaitingOnChannel>>(
            async session => await session.ListAsync(
                reader => new WaitingOnChannel(reader.GetString(0), reader.Whole(1), reader.Instant(2)),
                "SELECT channel, count(*), min(sealed_at) FROM letter WHERE state = 'waiting' GROUP BY channel ORDER BY channel").ConfigureAwait(false),
            cancellationToken);

    public Task<int> NextNumberAsync(string grower, CancellationToken cancellationToken) =>
        engine.ReadAsync(
            async session => checked((int)(await session.NumberAsync("SELECT last_number FROM grower WHERE name = @name", ("@name", grower)).ConfigureAwait(false) ?? 0) + 1),
            cancellationToken);

    public Task<bool> SealAsync(SealedLetter letter, CancellationToken cancellationToken) => SealAsync(letter, [], cancellationToken);

    public Task<bool> SealAsync(SealedLetter letter, IReadOnlyList<SaidLine> said, CancellationToken cancellationToken) => SealAsync([letter], said, cancellationToken);

    public Task<bool> SealAsync(IReadOnlyList<SealedLetter> letters, IReadOnlyList<SaidLine> said, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(letters);
        ArgumentNullException.ThrowIfNull(said);
        if (letters.Count == 0 || letters.DistinctBy(letter => (letter.Slot with { Channel = string.Empty }, letter.Number)).Count() > 1 || letters.DistinctBy(letter => letter.Slot.Channel).Count() < letters.Count)
        {
            throw new ArgumentException("Letters sealed together are copies of one letter: one a channel, with one number.", nameof(letters));
        }

        (SealedLetter Letter, byte[] Bytes)[] copies = [.. letters.Select(letter => (letter, letter.Bytes.ToArray()))];
        return engine.WriteAsync(session => SealAsync(session, copies, said), cancellationToken);
    }

    public Task RecordTryAsync(LetterSlot slot, DeliveryResult result, Instant at, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(slot);
        ArgumentNullException.ThrowIfNull(result);
        return engine.WriteReceiptAsync(
            async session =>
            {
                Row row = await session.FirstAsync(
                    reader => new Row(reader.GetInt64(0), reader.Word<LetterState>(1), reader.Whole(2)),
                    session.Command(
                        "SELECT l.id, l.state, l.tries FROM letter l JOIN grower g ON g.id = l.grower_id WHERE " + LetterRows.IsSlot + session.ForUpdate,
                        LetterRows.Key(slot))).ConfigureAwait(false)
                    ?? throw new InvalidOperationException($"There is no letter {Stored.Word(slot.Kind)} of {slot.Date} for {slot.Grower}.");
                await RecordTryAsync(session, row.Id, row.State, row.Tries, result, at).ConfigureAwait(false);
                return true;
            },
            cancellationToken);
    }

    public async Task<IReadOnlyList<LedgerEntry>> LoadWaitingAsync(CancellationToken cancellationToken)
    {
        List<LoadedLetter> waiting = await engine.ReadAsync(
            session => session.ListAsync(LetterRows.Map, LetterRows.Select + " WHERE l.state = 'waiting' ORDER BY l.sealed_at, l.id"),
            cancellationToken).ConfigureAwait(false);
        long[] damaged = waiting.Where(loaded => !loaded.Sound).Select(loaded => loaded.Id).ToArray();
        if (damaged.Length > 0)
        {
            await engine.WriteAsync(session => LetterRows.SetAsideAsync(session, damaged), cancellationToken).ConfigureAwait(false);
        }

        return waiting.Where(loaded => loaded.Sound).Select(loaded => loaded.Entry).ToArray();
    }

    public Task<long> AnswerAsync(string grower, SaidAnswer answer, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(answer);
        if (answer.State == SaidState.Open || answer.Grafts.Count == 0)
        {
            throw new ArgumentException("An answer is done, put off or not needed, and about at least one graft.", nameof(answer));
        }

        return engine.WriteAsync(session => SaidRecords.AnswerAsync(session, grower, answer), cancellationToken);
    }

    public Task<UndoOutcome> UndoAnswerAsync(string grower, long answer, Instant at, CancellationToken cancellationToken) =>
        engine.WriteAsync(session => SaidRecords.TakeBackAsync(session, grower, answer, at), cancellationToken);

    /// <summary>Writes a try and what it makes of the letter. What a server accepted stays accepted.</summary>
    public static async Task RecordTryAsync(SqlSession session, long letter, LetterState state, int tries, DeliveryResult result, Instant at)
    {
        await session.ExecuteAsync(
            "INSERT INTO letter_try (letter_id, number, at, outcome, reason, detail) VALUES (@letter, @number, @at, @outcome, @reason, @detail)",
            ("@letter", letter),
            ("@number", tries + 1),
            ("@at", Stored.Ticks(at)),
            ("@outcome", Stored.Word(result.Outcome)),
            ("@reason", Stored.Word(result.Reason)),
            ("@detail", result.Detail)).ConfigureAwait(false);
        await session.ExecuteAsync(
            "UPDATE letter SET state = @state, tries = @tries, last_try_at = @at, last_detail = @detail WHERE id = @letter",
            ("@state", Stored.Word(After(state, result.Outcome))),
            ("@tries", tries + 1),
            ("@at", Stored.Ticks(at)),
            ("@detail", result.Detail),
            ("@letter", letter)).ConfigureAwait(false);
    }

    /// <summary>From now on no letter is sealed for a day before this one; the day never moves back.</summary>
    public static async Task ForgetBeforeAsync(SqlSession session, string? date)
    {
        if (date is not null && string.CompareOrdinal(await StoreNotes.ReadAsync(session, ForgottenBefore).ConfigureAwait(false) ?? string.Empty, date) < 0)
        {
            await StoreNotes.WriteAsync(session, ForgottenBefore, date).ConfigureAwait(false);
        }
    }

    /// <summary>Today's letter of anybody may have gone out after a copy was made: none is made before tomorrow, also by the zones of growers whom only the store knows.</summary>
    public static async Task ForgetTodayAsync(SqlSession session, LocalDate firstLetterDate, Instant now)
    {
        await ForgetBeforeAsync(session, Stored.Date(firstLetterDate)).ConfigureAwait(false);
        foreach (string id in await session.ListAsync(reader => reader.GetString(0), "SELECT DISTINCT zone FROM grower_detail").ConfigureAwait(false))
        {
            if (DateTimeZoneProviders.Tzdb.GetZoneOrNull(id) is { } zone)
            {
                await ForgetBeforeAsync(session, Stored.Date(now.InZone(zone).Date.PlusDays(1))).ConfigureAwait(false);
            }
        }
    }

    public static LetterState After(LetterState before, DeliveryOutcome outcome) => (before, outcome) switch
    {
        (LetterState.Accepted, _) or (_, DeliveryOutcome.Accepted) => LetterState.Accepted,
        (LetterState.GivenUp, _) or (_, DeliveryOutcome.GiveUp) => LetterState.GivenUp,
        _ => LetterState.Waiting,
    };

    private static async Task<bool> IsClosedAsync(SqlSession session, LocalDate date) =>
        await StoreNotes.ReadAsync(session, ForgottenBefore).ConfigureAwait(false) is { } forgotten && string.CompareOrdinal(Stored.Date(date), forgotten) < 0;

    // The grower's row is held from here on, so that two programs with different channels cannot both take the occasion.
    private static async Task<bool> SealAsync(SqlSession session, (SealedLetter Letter, byte[] Bytes)[] copies, IReadOnlyList<SaidLine> said)
    {
        SealedLetter first = copies[0].Letter;
        long grower = await GrowerRows.TakeAsync(session, first.Slot.Grower).ConfigureAwait(false);
        if (await IsClosedAsync(session, first.Slot.Date).ConfigureAwait(false))
        {
            return false;
        }

        long? taken = await session.NumberAsync(
            "SELECT l.id FROM letter l JOIN grower g ON g.id = l.grower_id WHERE " + LetterRows.IsOccasion + " LIMIT 1",
            LetterRows.OccasionKey(first.Slot)).ConfigureAwait(false);
        if (taken is not null)
        {
            return false;
        }

        if (await session.NumberAsync("SELECT last_number FROM grower WHERE id = @id", ("@id", grower)).ConfigureAwait(false) >= first.Number)
        {
            throw new LetterNumberTakenException(first.Slot.Grower, first.Number);
        }

        await session.ExecuteManyAsync(
            """
            INSERT INTO letter (grower_id, local_date, kind, ordinal, channel, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, useful_until, state)
            VALUES (@grower, @date, @kind, @ordinal, @channel, @number, @message, @recipient, @subject, @bytes, @hash, @sealed, @useful, 'waiting')
            """,
            copies,
            copy => RowOf(grower, copy.Letter, copy.Bytes, session.KeepsBytesApart)).ConfigureAwait(false);
        if (session.KeepsBytesApart)
        {
            await session.ExecuteManyAsync(
                "INSERT INTO letter_bytes (letter_id, bytes) SELECT id, @bytes FROM letter WHERE message_id = @message",
                copies,
                copy => [("@bytes", copy.Bytes), ("@message", copy.Letter.MessageId)]).ConfigureAwait(false);
        }

        await session.ExecuteAsync("UPDATE grower SET last_number = @number WHERE id = @id", ("@number", first.Number), ("@id", grower)).ConfigureAwait(false);
        await SaidRecords.RememberAsync(session, grower, first, said).ConfigureAwait(false);
        return true;
    }

    private static (string Name, object? Value)[] RowOf(long grower, SealedLetter letter, byte[] bytes, bool apart) =>
    [
        ("@grower", grower),
        ("@date", Stored.Date(letter.Slot.Date)),
        ("@kind", Stored.Word(letter.Slot.Kind)),
        ("@ordinal", letter.Slot.Ordinal),
        ("@channel", letter.Slot.Channel),
        ("@number", letter.Number),
        ("@message", letter.MessageId),
        ("@recipient", letter.Recipient),
        ("@subject", letter.Subject),
        ("@bytes", apart ? [] : bytes),
        ("@hash", SHA256.HashData(bytes)),
        ("@sealed", Stored.Ticks(letter.SealedAt)),
        ("@useful", Stored.Ticks(letter.UsefulUntil)),
    ];

    private sealed record Day(int Sealed, Instant? LastSealedAt);

    private sealed record Row(long Id, LetterState State, int Tries);
}

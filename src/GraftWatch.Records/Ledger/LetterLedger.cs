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

    public Task<int> NextNumberAsync(string grower, CancellationToken cancellationToken) =>
        engine.ReadAsync(
            async session => checked((int)(await session.NumberAsync("SELECT last_number FROM grower WHERE name = @name", ("@name", grower)).ConfigureAwait(false) ?? 0) + 1),
            cancellationToken);

    public Task<bool> SealAsync(SealedLetter letter, CancellationToken cancellationToken) => SealAsync(letter, [], cancellationToken);

    public Task<bool> SealAsync(SealedLetter letter, IReadOnlyList<SaidLine> said, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(letter);
        ArgumentNullException.ThrowIfNull(said);
        byte[] bytes = letter.Bytes.ToArray();
        return engine.WriteAsync(session => SealAsync(session, letter, bytes, said), cancellationToken);
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
        engine.WriteAsync(session => Undo.TakeBackAsync(session, "answer", "at", grower, answer, at), cancellationToken);

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

    public static LetterState After(LetterState before, DeliveryOutcome outcome) => (before, outcome) switch
    {
        (LetterState.Accepted, _) or (_, DeliveryOutcome.Accepted) => LetterState.Accepted,
        (LetterState.GivenUp, _) or (_, DeliveryOutcome.GiveUp) => LetterState.GivenUp,
        _ => LetterState.Waiting,
    };

    private static async Task<bool> SealAsync(SqlSession session, SealedLetter letter, byte[] bytes, IReadOnlyList<SaidLine> said)
    {
        long grower = await GrowerRows.TakeAsync(session, letter.Slot.Grower).ConfigureAwait(false);
        string? forgotten = await StoreNotes.ReadAsync(session, ForgottenBefore).ConfigureAwait(false);
        if (forgotten is not null && string.CompareOrdinal(Stored.Date(letter.Slot.Date), forgotten) < 0)
        {
            return false;
        }

        long? taken = await session.NumberAsync(
            "SELECT l.id FROM letter l JOIN grower g ON g.id = l.grower_id WHERE " + LetterRows.IsSlot,
            LetterRows.Key(letter.Slot)).ConfigureAwait(false);
        if (taken is not null)
        {
            return false;
        }

        if (await session.NumberAsync("SELECT last_number FROM grower WHERE id = @id", ("@id", grower)).ConfigureAwait(false) >= letter.Number)
        {
            throw new LetterNumberTakenException(letter.Slot.Grower, letter.Number);
        }

        await session.ExecuteAsync(
            """
            INSERT INTO letter (grower_id, local_date, kind, ordinal, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, state)
            VALUES (@grower, @date, @kind, @ordinal, @number, @message, @recipient, @subject, @bytes, @hash, @sealed, 'waiting')
            """,
            ("@grower", grower),
            ("@date", Stored.Date(letter.Slot.Date)),
            ("@kind", Stored.Word(letter.Slot.Kind)),
            ("@ordinal", letter.Slot.Ordinal),
            ("@number", letter.Number),
            ("@message", letter.MessageId),
            ("@recipient", letter.Recipient),
            ("@subject", letter.Subject),
            ("@bytes", bytes),
            ("@hash", SHA256.HashData(bytes)),
            ("@sealed", Stored.Ticks(letter.SealedAt))).ConfigureAwait(false);
        await session.ExecuteAsync("UPDATE grower SET last_number = @number WHERE id = @id", ("@number", letter.Number), ("@id", grower)).ConfigureAwait(false);
        await SaidRecords.RememberAsync(session, grower, letter, said).ConfigureAwait(false);
        return true;
    }

    private sealed record Row(long Id, LetterState State, int Tries);
}

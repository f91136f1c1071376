using System.Data.Common;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Ledger;

/// <summary>What was said about which graft, and the answers.</summary>
internal static class SaidRecords
{
    // An answer counts until the advice is said again. Without an answer an advice is open while the last morning letter said it:
    // what yesterday's letter no longer said is over, and when it comes back it is new.
    private const string Load =
        """
        SELECT s.action, s.hazard, s.label, s.first_said, s.level, a.state, a.until, a.answered_on
        FROM said s
        LEFT JOIN answer a ON a.id = (
            SELECT b.id FROM answer b JOIN answer_graft t ON t.answer_id = b.id
            WHERE t.label = s.label AND b.grower_id = s.grower_id AND b.action = s.action AND b.hazard = s.hazard AND b.undone_at IS NULL AND b.at >= s.said_at
            ORDER BY b.at DESC, b.id DESC LIMIT 1)
        WHERE s.grower_id = @grower AND (a.id IS NOT NULL OR s.last_said >= COALESCE((SELECT max(l.local_date) FROM letter l WHERE l.grower_id = @grower AND l.kind = 'morning'), s.last_said))
        ORDER BY s.first_said, s.action, s.hazard, s.label
        """;

    public static async Task RememberAsync(SqlSession session, long grower, SealedLetter letter, IReadOnlyList<SaidLine> said)
    {
        await session.ExecuteManyAsync(
            """
            INSERT INTO said (grower_id, action, hazard, label, first_said, last_said, said_at, level) VALUES (@grower, @action, @hazard, @label, @first, @last, @at, @level)
            ON CONFLICT (grower_id, action, hazard, label) DO UPDATE SET first_said = excluded.first_said, last_said = excluded.last_said, said_at = excluded.said_at, level = excluded.level
            """,
            said,
            line =>
            [
                ("@grower", grower),
                ("@action", Stored.Word(line.Action)),
                ("@hazard", Stored.WordOrEmpty(line.Hazard)),
                ("@label", line.Graft),
                ("@first", Stored.Date(line.FirstSaid)),
                ("@last", Stored.Date(letter.Slot.Date)),
                ("@at", Stored.Ticks(letter.SealedAt)),
                ("@level", Stored.Word(line.Level)),
            ]).ConfigureAwait(false);
        await AdviceRecords.RememberAsync(session, grower, letter, said).ConfigureAwait(false);
    }

    public static async Task<IReadOnlyList<SaidBefore>> LoadAsync(SqlSession session, string grower)
    {
        long? id = await session.NumberAsync("SELECT id FROM grower WHERE name = @name", ("@name", grower)).ConfigureAwait(false);
        return id is null ? [] : await session.ListAsync(Map, Load, ("@grower", id)).ConfigureAwait(false);
    }

    public static async Task<long> AnswerAsync(SqlSession session, string grower, SaidAnswer answer)
    {
        long growerId = await GrowerRows.TakeAsync(session, grower).ConfigureAwait(false);
        long id = (await session.NumberAsync(
            "INSERT INTO answer (grower_id, action, hazard, state, until, at, answered_on) VALUES (@grower, @action, @hazard, @state, @until, @at, @on) RETURNING id",
            ("@grower", growerId),
            ("@action", Stored.Word(answer.Action)),
            ("@hazard", Stored.WordOrEmpty(answer.Hazard)),
            ("@state", Stored.Word(answer.State)),
            ("@until", Stored.Date(answer.Until)),
            ("@at", Stored.Ticks(answer.At)),
            ("@on", Stored.Date(answer.On))).ConfigureAwait(false))!.Value;
        await session.ExecuteManyAsync(
            "INSERT INTO answer_graft (answer_id, label) VALUES (@answer, @label) ON CONFLICT (label, answer_id) DO NOTHING",
            answer.Grafts,
            label => [("@answer", id), ("@label", label)]).ConfigureAwait(false);
        return id;
    }

    /// <summary>Takes an answer back, with its rows for other hazards of the same line.</summary>
    public static async Task<UndoOutcome> TakeBackAsync(SqlSession session, string grower, long answer, Instant at)
    {
        UndoOutcome outcome = await Undo.TakeBackAsync(session, "answer", "at", grower, answer, at).ConfigureAwait(false);
        if (outcome == UndoOutcome.Undone)
        {
            await session.ExecuteAsync(
                """
                UPDATE answer SET undone_at = @at
                WHERE undone_at IS NULL AND hazard <> '' AND hazard <> (SELECT b.hazard FROM answer b WHERE b.id = @answer)
                  AND (grower_id, action, state, at) IN (SELECT b.grower_id, b.action, b.state, b.at FROM answer b WHERE b.id = @answer AND b.hazard <> '')
                  AND id IN (SELECT t.answer_id FROM answer_graft t JOIN answer_graft u ON u.label = t.label WHERE u.answer_id = @answer)
                """,
                ("@at", Stored.Ticks(at)),
                ("@answer", answer)).ConfigureAwait(false);
        }

        return outcome;
    }

    private static SaidBefore Map(DbDataReader reader) => new(
        reader.Word<WorkAction>(0),
        Stored.WordOrNull<Hazard>(reader.GetString(1)),
        reader.GetString(2),
        reader.Date(3),
        reader.Word<Level>(4),
        reader.IsDBNull(5) ? SaidState.Open : reader.Word<SaidState>(5),
        reader.DateOrNull(6),
        reader.DateOrNull(7));
}

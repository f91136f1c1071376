using System.Text.Json;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Ledger;

/// <summary>What links of letters are about: one row an advice, as it was last said.</summary>
internal sealed class AdviceRecords(SqlEngine engine) : ISaidAdvice
{
    // What the same letter said of the same work at the same grafts against other hazards stood in the same line.
    private const string Others =
        """
        SELECT s.hazard, s.level, s.label FROM said s JOIN grower g ON g.id = s.grower_id
        WHERE g.name = @name AND s.action = @action AND s.hazard <> @hazard AND s.hazard <> '' AND s.said_at = @at
        ORDER BY s.hazard, s.level, s.label
        """;

    public Task<SaidAdvice?> FindAsync(string grower, string advice, CancellationToken cancellationToken) => engine.ReadAsync(
        async session =>
        {
            SaidAdvice? found = await LineAsync(session, grower, advice).ConfigureAwait(false);
            // What is looked at for one hazard stands in a line of its own.
            if (found?.Hazard is null || found.Action == WorkAction.Look)
            {
                return found;
            }

            List<(Hazard Hazard, Level Level, string Label)> others = await session.ListAsync(
                reader => (reader.Word<Hazard>(0), reader.Word<Level>(1), reader.GetString(2)),
                Others,
                ("@name", grower),
                ("@action", Stored.Word(found.Action)),
                ("@hazard", Stored.WordOrEmpty(found.Hazard)),
                ("@at", Stored.Ticks(found.SaidAt))).ConfigureAwait(false);
            var grafts = new HashSet<string>(found.Grafts, StringComparer.Ordinal);
            return found with { AlsoAgainst = AlsoAgainst.Of(others.Where(other => grafts.Contains(other.Label))) };
        },
        cancellationToken);

    private static Task<SaidAdvice?> LineAsync(SqlSession session, string grower, string advice) =>
        session.FirstAsync(
            reader => new SaidAdvice(
                reader.GetString(0),
                reader.Date(1),
                reader.Instant(2),
                reader.Word<WorkAction>(3),
                Stored.WordOrNull<Hazard>(reader.GetString(4)),
                reader.Word<Level>(5),
                List(reader.GetString(6)),
                List(reader.GetString(7)),
                reader.GetString(8)),
            session.Command(
                "SELECT l.advice, l.said_on, l.said_at, l.action, l.hazard, l.level, l.materials, l.labels, l.words FROM advice_line l JOIN grower g ON g.id = l.grower_id WHERE g.name = @name AND l.advice = @advice",
                ("@name", grower),
                ("@advice", advice)));

    /// <summary>Keeps the lines of a letter that links may name.</summary>
    public static Task RememberAsync(SqlSession session, long grower, SealedLetter letter, IReadOnlyList<SaidLine> said) => session.ExecuteManyAsync(
        """
        INSERT INTO advice_line (grower_id, advice, said_on, said_at, position, action, hazard, level, materials, labels, words) VALUES (@grower, @advice, @on, @at, @position, @action, @hazard, @level, @materials, @labels, @words)
        ON CONFLICT (grower_id, advice) DO UPDATE SET said_on = excluded.said_on, said_at = excluded.said_at, position = excluded.position, action = excluded.action,
            hazard = excluded.hazard, level = excluded.level, materials = excluded.materials, labels = excluded.labels, words = excluded.words
        """,
        [.. said.Where(line => line.Advice.Length > 0).GroupBy(line => line.Advice, StringComparer.Ordinal).Index()],
        row =>
        {
            SaidLine first = row.Item.First();
            return
            [
                ("@grower", grower),
                ("@advice", row.Item.Key),
                ("@on", Stored.Date(letter.Slot.Date)),
                ("@at", Stored.Ticks(letter.SealedAt)),
                ("@position", row.Index),
                ("@action", Stored.Word(first.Action)),
                ("@hazard", Stored.WordOrEmpty(first.Hazard)),
                ("@level", Stored.Word(first.Level)),
                ("@materials", JsonSerializer.Serialize([.. first.Materials], ColumnJson.Default.StringArray)),
                ("@labels", JsonSerializer.Serialize([.. row.Item.Where(line => line.Hazard == first.Hazard).Select(line => line.Graft)], ColumnJson.Default.StringArray)),
                ("@words", first.Words),
            ];
        });

    private static string[] List(string json) => JsonSerializer.Deserialize(json, ColumnJson.Default.StringArray) ?? [];
}

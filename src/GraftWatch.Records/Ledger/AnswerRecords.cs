using System.Data.Common;
using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Grafts;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Ledger;

/// <summary>Answers as rows.</summary>
internal sealed class AnswerRecords(SqlEngine engine) : IAnswerBook
{
    // What a letter has said keeps its row; what only a page showed counts as said at the instant of the answer.
    private const string Say =
        """
        INSERT INTO said (grower_id, action, hazard, label, first_said, last_said, said_at, level) VALUES (@grower, @action, @hazard, @label, @first, @last, @at, @level)
        ON CONFLICT (grower_id, action, hazard, label) DO NOTHING
        """;

    private const string Select =
        """
        SELECT a.id, a.action, a.hazard, a.state, a.until, a.at, a.answered_on, a.undone_at, t.label
        FROM answer a JOIN grower g ON g.id = a.grower_id JOIN answer_graft t ON t.answer_id = a.id
        WHERE g.name = @grower AND a.at >= @since
        ORDER BY a.at DESC, a.id DESC, t.label
        """;

    private const string Mark =
        """
        SELECT (SELECT COALESCE(max(a.id), 0) FROM answer a WHERE a.grower_id = g.id), (SELECT count(a.undone_at) FROM answer a WHERE a.grower_id = g.id),
               (SELECT COALESCE(max(o.id), 0) FROM observation o WHERE o.grower_id = g.id), (SELECT count(o.undone_at) FROM observation o WHERE o.grower_id = g.id)
        FROM grower g WHERE g.name = @grower
        """;

    // Only work that is done leaves notes; an older note of the same union bears another instant.
    private const string ForgetTraces =
        """
        UPDATE observation SET undone_at = @at
        WHERE undone_at IS NULL AND noted_at = at
          AND (grower_id, noted_at) IN (SELECT a.grower_id, a.at FROM answer a WHERE a.id = @answer AND a.state = 'done')
          AND label IN (SELECT t.label FROM answer_graft t WHERE t.answer_id = @answer)
        """;

    public Task<long> AnswerAsync(
        string grower, SaidAnswer answer, IReadOnlyList<SaidLine> lines, LocalDate date, IReadOnlyList<(Observation Observation, string Words)> traces, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(answer);
        ArgumentNullException.ThrowIfNull(lines);
        ArgumentNullException.ThrowIfNull(traces);
        return engine.WriteAsync(
            async session =>
            {
                long id = await GrowerRows.TakeAsync(session, grower).ConfigureAwait(false);
                await session.ExecuteManyAsync(
                    Say,
                    lines,
                    line =>
                    [
                        ("@grower", id),
                        ("@action", Stored.Word(line.Action)),
                        ("@hazard", Stored.WordOrEmpty(line.Hazard)),
                        ("@label", line.Graft),
                        ("@first", Stored.Date(line.FirstSaid)),
                        ("@last", Stored.Date(date)),
                        ("@at", Stored.Ticks(answer.At)),
                        ("@level", Stored.Word(line.Level)),
                    ]).ConfigureAwait(false);
                long number = await SaidRecords.AnswerAsync(session, grower, answer).ConfigureAwait(false);
                foreach (IGrouping<Hazard?, SaidLine> other in lines.Where(line => line.Action == answer.Action && line.Hazard != answer.Hazard).GroupBy(line => line.Hazard))
                {
                    await SaidRecords.AnswerAsync(session, grower, answer with { Hazard = other.Key, Grafts = [.. other.Select(line => line.Graft)] }).ConfigureAwait(false);
                }

                foreach ((Observation observation, string words) in traces)
                {
                    await GraftRecords.ObserveAsync(session, grower, observation, words, answer.At).ConfigureAwait(false);
                }

                return number;
            },
            cancellationToken);
    }

    public Task<UndoOutcome> UndoAsync(string grower, long answer, Instant at, CancellationToken cancellationToken) =>
        engine.WriteAsync(
            async session =>
            {
                UndoOutcome outcome = await SaidRecords.TakeBackAsync(session, grower, answer, at).ConfigureAwait(false);
                if (outcome == UndoOutcome.Undone)
                {
                    await session.ExecuteAsync(ForgetTraces, ("@at", Stored.Ticks(at)), ("@answer", answer)).ConfigureAwait(false);
                }

                return outcome;
            },
            cancellationToken);

    public Task<IReadOnlyList<NotedAnswer>> LoadAnswersAsync(string grower, Instant since, CancellationToken cancellationToken) =>
        engine.ReadAsync<IReadOnlyList<NotedAnswer>>(
            async session =>
            {
                List<(NotedAnswer Answer, string Label)> rows = await session.ListAsync(Map, Select, ("@grower", grower), ("@since", Stored.Ticks(since))).ConfigureAwait(false);
                return Joined(rows.GroupBy(row => row.Answer.Id)
                    .Select(group => group.First().Answer with { Answer = group.First().Answer.Answer with { Grafts = [.. group.Select(row => row.Label)] } }));
            },
            cancellationToken);

    // An answer to a line against several hazards is a row for each, written in one go; the first names every graft of the line.
    private static List<NotedAnswer> Joined(IEnumerable<NotedAnswer> newestFirst)
    {
        var whole = new List<NotedAnswer>();
        foreach (NotedAnswer[] together in newestFirst.GroupBy(noted => (noted.Answer.At, noted.Answer.Action, noted.Answer.State)).Select(group => group.Reverse().ToArray()))
        {
            int before = whole.Count;
            foreach (NotedAnswer row in together)
            {
                int first = whole.FindIndex(before, lead => IsPartOf(row.Answer, lead.Answer));
                if (first < 0)
                {
                    whole.Insert(before, row);
                }
                else
                {
                    SaidAnswer lead = whole[first].Answer;
                    whole[first] = whole[first] with { Answer = lead with { AlsoAgainst = [.. lead.AlsoAgainst, row.Answer.Hazard!.Value] } };
                }
            }
        }

        return whole;
    }

    private static bool IsPartOf(SaidAnswer row, SaidAnswer lead) =>
        row.Hazard is { } hazard && lead.Hazard is not null && !lead.Answers(row.Action, hazard) && !row.Grafts.Except(lead.Grafts, StringComparer.Ordinal).Any();

    public Task<string> MarkAsync(string grower, CancellationToken cancellationToken) =>
        engine.ReadAsync(
            async session => (await session.FirstAsync(
                reader => string.Create(CultureInfo.InvariantCulture, $"{reader.GetInt64(0)} {reader.GetInt64(1)} {reader.GetInt64(2)} {reader.GetInt64(3)}"),
                session.Command(Mark, ("@grower", grower))).ConfigureAwait(false)) ?? string.Empty,
            cancellationToken);

    private static (NotedAnswer Answer, string Label) Map(DbDataReader reader)
    {
        var answer = new SaidAnswer(
            reader.Word<WorkAction>(1), Stored.WordOrNull<Hazard>(reader.GetString(2)), [], reader.Word<SaidState>(3), reader.DateOrNull(4), reader.Instant(5), reader.DateOrNull(6));
        return (new NotedAnswer(reader.GetInt64(0), answer, reader.InstantOrNull(7)), reader.GetString(8));
    }
}

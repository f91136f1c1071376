using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Answering;

/// <summary>Takes a grower's answers to lines of a round: the ledger hears of them, and work that is done changes how the unions stand.</summary>
/// <remarks>
/// The notes of one answer bear its instant; that is how they are found when it is taken back. <see cref="ObservationKind"/>
/// says which work leaves a note; the rest is known by the answer alone.
/// </remarks>
/// <param name="book">Answers.</param>
/// <param name="said">Takes answers back.</param>
/// <param name="keeper">Notes what was done.</param>
/// <param name="wordsOf">The words a note is kept with.</param>
public sealed class WorkAnswers(IAnswerBook book, ISaidMemory said, IRegisterKeeper keeper, Func<Observation, string> wordsOf)
{
    /// <summary>Notes an answer.</summary>
    /// <param name="grower">Whose.</param>
    /// <param name="advice">The line that is answered.</param>
    /// <param name="grafts">Those of its grafts the answer is about; others are left out.</param>
    /// <param name="state">Done, put off or not needed.</param>
    /// <param name="handbook">Names of covers, and what each work brings.</param>
    /// <param name="now">The instant of the answer.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>The number of the answer; null when none of the grafts is the line's.</returns>
    public async Task<long?> AnswerAsync(
        Grower grower, Advice advice, IReadOnlyCollection<string> grafts, SaidState state, Handbook handbook, Instant now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        ArgumentNullException.ThrowIfNull(advice);
        ArgumentNullException.ThrowIfNull(handbook);
        ArgumentOutOfRangeException.ThrowIfEqual((int)state, (int)SaidState.Open);
        var wanted = grafts.ToHashSet(StringComparer.Ordinal);
        string[] labels = [.. advice.Grafts.Where(wanted.Contains)];
        if (labels.Length == 0)
        {
            return null;
        }

        Instant at = Instant.FromUnixTimeTicks(now.ToUnixTimeTicks());
        LocalDate today = at.InZone(grower.Zone).Date;
        var answer = new SaidAnswer(advice.Action, advice.Hazard, labels, state, state == SaidState.PutOff ? today.PlusDays(1) : null, at, today);
        Level level = advice.Reached ?? advice.Level;
        SaidLine[] lines = [.. labels.Select(label => new SaidLine(advice.Action, advice.Hazard, label, level, advice.OpenSince ?? today))];
        long id = await book.AnswerAsync(grower.Name, answer, lines, today, cancellationToken).ConfigureAwait(false);
        if (state == SaidState.Done)
        {
            var traces = new WorkTraces(handbook);
            (Observation, string)[] notes = [.. labels.SelectMany(label => traces.Of(advice, label, at)).Select(note => (note, wordsOf(note)))];
            if (notes.Length > 0)
            {
                await keeper.ObserveManyAsync(grower.Name, notes, at, cancellationToken).ConfigureAwait(false);
            }
        }

        return id;
    }

    /// <summary>Takes an answer back, with the notes it left.</summary>
    /// <param name="grower">Whose; an answer of somebody else is not found.</param>
    /// <param name="id">Number of the answer.</param>
    /// <param name="now">The instant.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    public async Task<UndoOutcome> UndoAsync(Grower grower, long id, Instant now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        Instant since = now - Duration.FromDays(UndoWindow.Days + 1);
        IReadOnlyList<NotedAnswer> answers = await book.LoadAnswersAsync(grower.Name, since, cancellationToken).ConfigureAwait(false);
        UndoOutcome outcome = await said.UndoAnswerAsync(grower.Name, id, now, cancellationToken).ConfigureAwait(false);
        if (outcome == UndoOutcome.Undone && answers.FirstOrDefault(noted => noted.Id == id)?.Answer is { State: SaidState.Done } answer)
        {
            var labels = answer.Grafts.ToHashSet(StringComparer.Ordinal);
            IReadOnlyList<NotedObservation> notes = await keeper.LoadNotesAsync(grower.Name, cancellationToken).ConfigureAwait(false);
            long[] left = [.. notes.Where(note => note.NotedAt == answer.At && note.Observation.At == answer.At && note.UndoneAt is null && labels.Contains(note.Observation.Label)).Select(note => note.Note)];
            if (left.Length > 0)
            {
                await keeper.UndoObservationsAsync(grower.Name, left, now, cancellationToken).ConfigureAwait(false);
            }
        }

        return outcome;
    }
}

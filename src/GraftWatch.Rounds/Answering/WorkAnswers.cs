using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Answering;

/// <summary>Takes a grower's answers to lines of a round: the ledger hears of them, and work that is done changes how the unions stand.</summary>
/// <remarks>
/// The notes of one answer bear its instant; that is how they are found when it is taken back. <see cref="ObservationKind"/>
/// says which work leaves a note; the rest is known by the answer alone.
/// </remarks>
/// <param name="book">Answers, and the notes they leave.</param>
/// <param name="wordsOf">The words a note is kept with.</param>
public sealed class WorkAnswers(IAnswerBook book, Func<Observation, string> wordsOf)
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
        SaidLine[] lines = [.. SaidLine.Of(advice, labels, today)];
        var traces = new WorkTraces(handbook);
        (Observation, string)[] notes = state == SaidState.Done ? [.. labels.SelectMany(label => traces.Of(advice, label, at)).Select(note => (note, wordsOf(note)))] : [];
        return await book.AnswerAsync(grower.Name, answer, lines, today, notes, cancellationToken).ConfigureAwait(false);
    }

    /// <summary>Takes an answer back, with the notes it left.</summary>
    /// <param name="grower">Whose; an answer of somebody else is not found.</param>
    /// <param name="id">Number of the answer.</param>
    /// <param name="now">The instant.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    public Task<UndoOutcome> UndoAsync(Grower grower, long id, Instant now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        return book.UndoAsync(grower.Name, id, now, cancellationToken);
    }
}

using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>What growers answered, for pages that show it and take it back.</summary>
public interface IAnswerBook
{
    /// <summary>Notes an answer to lines of a round, whether or not a letter said them yet, in one transaction.</summary>
    /// <param name="grower">Grower's name.</param>
    /// <param name="answer">The answer.</param>
    /// <param name="lines">The lines it answers, one a graft: what no letter has said yet counts as said now, and the answer holds for every hazard among them.</param>
    /// <param name="date">The grower's local day.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>The number of the answer, for taking it back.</returns>
    Task<long> AnswerAsync(string grower, SaidAnswer answer, IReadOnlyList<SaidLine> lines, LocalDate date, CancellationToken cancellationToken) =>
        AnswerAsync(grower, answer, lines, date, [], cancellationToken);

    /// <summary>As <see cref="AnswerAsync(string, SaidAnswer, IReadOnlyList{SaidLine}, LocalDate, CancellationToken)"/>, with what the work left at the unions: all of it is kept or nothing.</summary>
    /// <param name="grower">Grower's name.</param>
    /// <param name="answer">The answer.</param>
    /// <param name="lines">The lines it answers, one a graft and hazard.</param>
    /// <param name="date">The grower's local day.</param>
    /// <param name="traces">How the unions stand now, with the words the notes are kept with; they bear the answer's instant, and labels the grower does not have are left out.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>The number of the answer, for taking it back.</returns>
    Task<long> AnswerAsync(
        string grower, SaidAnswer answer, IReadOnlyList<SaidLine> lines, LocalDate date, IReadOnlyList<(Observation Observation, string Words)> traces, CancellationToken cancellationToken);

    /// <summary>Takes an answer back within <see cref="UndoWindow.Days"/> days, for every hazard it holds for, with the notes that bear its instant, in one transaction.</summary>
    Task<UndoOutcome> UndoAsync(string grower, long answer, Instant at, CancellationToken cancellationToken);

    /// <summary>The grower's answers since an instant, newest first, those taken back too.</summary>
    Task<IReadOnlyList<NotedAnswer>> LoadAnswersAsync(string grower, Instant since, CancellationToken cancellationToken);

    /// <summary>A text that changes whenever an answer or a note of the grower is added or taken back, by whatever process.</summary>
    Task<string> MarkAsync(string grower, CancellationToken cancellationToken);
}

/// <summary>An answer as it was noted.</summary>
/// <param name="Id">Number of the answer.</param>
/// <param name="Answer">What and when.</param>
/// <param name="UndoneAt">When it was taken back; null while it stands.</param>
public sealed record NotedAnswer(long Id, SaidAnswer Answer, Instant? UndoneAt);

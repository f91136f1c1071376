using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>What growers answered, for pages that show it and take it back.</summary>
public interface IAnswerBook
{
    /// <summary>Notes an answer to lines of a round, whether or not a letter said them yet, in one transaction.</summary>
    /// <param name="grower">Grower's name.</param>
    /// <param name="answer">The answer.</param>
    /// <param name="lines">The lines it answers, one a graft: what no letter has said yet counts as said now.</param>
    /// <param name="date">The grower's local day.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>The number of the answer, for taking it back.</returns>
    Task<long> AnswerAsync(string grower, SaidAnswer answer, IReadOnlyList<SaidLine> lines, LocalDate date, CancellationToken cancellationToken);

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

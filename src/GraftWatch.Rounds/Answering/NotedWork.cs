using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Answering;

/// <summary>Closes the advice that a note answers: who writes that the tie is off has done what the letter asked for.</summary>
/// <remarks>The other way round from <see cref="WorkAnswers"/>. Answers of a note bear its instant; that is how they are found when it is taken back.</remarks>
/// <param name="register">What was said.</param>
/// <param name="book">Answers.</param>
/// <param name="said">Takes answers back.</param>
public sealed class NotedWork(IRegister register, IAnswerBook book, ISaidMemory said)
{
    /// <summary>The work that is done once something is seen or noted; empty where it only tells how the union stands.</summary>
    public static IReadOnlyList<WorkAction> ClosedBy(ObservationKind kind) => kind switch
    {
        ObservationKind.CoverOn => [WorkAction.Shade],
        ObservationKind.CoverVented => [WorkAction.Vent],
        ObservationKind.CoverClosed => [WorkAction.CloseCover],
        ObservationKind.CoverOff => [WorkAction.CoverOff, WorkAction.FrostCoverOff],
        ObservationKind.TieOff => [WorkAction.SlitTie, WorkAction.TieOff],
        ObservationKind.TieGrooved or ObservationKind.TieSlack => [WorkAction.Look],
        ObservationKind.Staked => [WorkAction.Stake],
        ObservationKind.TiedIn => [WorkAction.TieIn],
        ObservationKind.HeadedBack => [WorkAction.HeadBack],
        ObservationKind.StockShootsOff => [WorkAction.RubOff],
        ObservationKind.Resealed => [WorkAction.Reseal],
        ObservationKind.Watered => [WorkAction.Water],
        ObservationKind.Relieved => [WorkAction.Relieve],
        ObservationKind.Taken or ObservationKind.Dead => [WorkAction.TakeCheck],
        _ => [],
    };

    /// <summary>Closes what is open about one graft.</summary>
    /// <param name="grower">Whose.</param>
    /// <param name="label">The graft.</param>
    /// <param name="done">Work that was done.</param>
    /// <param name="at">When it was done.</param>
    /// <param name="now">The instant of the note.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>Work that was open and is closed now.</returns>
    public async Task<IReadOnlyList<WorkAction>> CloseAsync(
        Grower grower, string label, IReadOnlyList<WorkAction> done, Instant at, Instant now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        if (done.Count == 0)
        {
            return [];
        }

        IReadOnlyList<SaidBefore> before = await register.LoadSaidAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        SaidBefore[] open = [.. before.Where(entry => entry.State == SaidState.Open && entry.Graft == label && done.Contains(entry.Action))];
        LocalDate on = at.InZone(grower.Zone).Date;
        foreach (SaidBefore entry in open)
        {
            var answer = new SaidAnswer(entry.Action, entry.Hazard, [label], SaidState.Done, null, ToTheTick(now), on);
            await book.AnswerAsync(grower.Name, answer, [], on, cancellationToken).ConfigureAwait(false);
        }

        return [.. open.Select(entry => entry.Action).Distinct()];
    }

    /// <summary>Notes that dated work was done which leaves no observation, whether or not a letter asked for it.</summary>
    /// <returns>The number of the answer.</returns>
    public async Task<long> AnswerAsync(Grower grower, string label, WorkAction done, Instant at, Instant now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        IReadOnlyList<SaidBefore> before = await register.LoadSaidAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        SaidBefore[] open = [.. before.Where(entry => entry.State == SaidState.Open && entry.Graft == label && entry.Action == done)];
        LocalDate on = at.InZone(grower.Zone).Date;
        SaidLine[] lines = open.Length == 0
            ? [new SaidLine(done, null, label, Level.Note, on)]
            : [.. open.Select(entry => new SaidLine(done, entry.Hazard, label, entry.LastLevel, entry.FirstSaid))];
        return await book.AnswerAsync(grower.Name, new SaidAnswer(done, lines[0].Hazard, [label], SaidState.Done, null, ToTheTick(now), on), lines, on, cancellationToken).ConfigureAwait(false);
    }

    /// <summary>Takes back the answers a note gave, after the note itself was taken back.</summary>
    public async Task UndoAsync(Grower grower, NotedObservation note, Instant now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        ArgumentNullException.ThrowIfNull(note);
        IReadOnlyList<NotedAnswer> answers = await book.LoadAnswersAsync(grower.Name, note.NotedAt, cancellationToken).ConfigureAwait(false);
        foreach (NotedAnswer given in answers.Where(one => one.UndoneAt is null && one.Answer.At == note.NotedAt && one.Answer.Grafts.Contains(note.Observation.Label)))
        {
            await said.UndoAnswerAsync(grower.Name, given.Id, now, cancellationToken).ConfigureAwait(false);
        }
    }

    // As stores keep it, so that note and answer bear the same instant.
    private static Instant ToTheTick(Instant at) => Instant.FromUnixTimeTicks(at.ToUnixTimeTicks());
}

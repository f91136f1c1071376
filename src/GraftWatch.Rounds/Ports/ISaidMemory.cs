using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Remembers what was said about which graft, and what the grower answered.</summary>
public interface ISaidMemory
{
    /// <summary>Takes the slot, keeps the sealed bytes and remembers what they say, all in one transaction.</summary>
    /// <param name="letter">The sealed letter.</param>
    /// <param name="said">One line for each advice and graft of the letter; see <see cref="SaidLine.Of(Round)"/>.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>False when another run took the slot first; then nothing is remembered.</returns>
    Task<bool> SealAsync(SealedLetter letter, IReadOnlyList<SaidLine> said, CancellationToken cancellationToken) => SealAsync([letter], said, cancellationToken);

    /// <summary>Takes the slots of one occasion on all its channels, keeps the sealed bytes and remembers what they say, all in one transaction or nothing.</summary>
    /// <param name="letters">Copies of one letter, one a channel, with the same grower, date, kind, ordinal and number.</param>
    /// <param name="said">One line for each advice and graft of the letter; see <see cref="SaidLine.Of(Round)"/>.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>False when the occasion is taken, on whatever channel, or its day is closed; then nothing is kept.</returns>
    /// <exception cref="LetterNumberTakenException">Another letter of the grower took the number; compose again with the next one.</exception>
    Task<bool> SealAsync(IReadOnlyList<SealedLetter> letters, IReadOnlyList<SaidLine> said, CancellationToken cancellationToken);

    /// <summary>Notes the grower's answer to an advice; it counts until the advice is said again.</summary>
    /// <returns>The number of the answer, for taking it back.</returns>
    Task<long> AnswerAsync(string grower, SaidAnswer answer, CancellationToken cancellationToken);

    /// <summary>Takes an answer back within <see cref="UndoWindow.Days"/> days.</summary>
    Task<UndoOutcome> UndoAnswerAsync(string grower, long answer, Instant at, CancellationToken cancellationToken);
}

/// <summary>One advice about one graft, as a letter says it.</summary>
/// <param name="Action">What.</param>
/// <param name="Hazard">Which hazard, or null.</param>
/// <param name="Graft">Label.</param>
/// <param name="Level">Level it reaches by itself now, whatever the letter made of it for having said it before.</param>
/// <param name="FirstSaid">First day it was said while it has been open.</param>
public sealed record SaidLine(WorkAction Action, Hazard? Hazard, string Graft, Level Level, LocalDate FirstSaid)
{
    /// <summary>Id of the advice in the letter; links name it. Empty when there are no links to it.</summary>
    public string Advice { get; init; } = string.Empty;

    /// <summary>The advice as the letter said it.</summary>
    public string Words { get; init; } = string.Empty;

    /// <summary>What the advice says to bring.</summary>
    public IReadOnlyList<string> Materials { get; init; } = [];

    /// <summary>The lines of a round. Advice whose action is <see cref="WorkAction.Know"/> or <see cref="WorkAction.Wait"/> asks for nothing, yet was said.</summary>
    public static IReadOnlyList<SaidLine> Of(Round round)
    {
        ArgumentNullException.ThrowIfNull(round);
        return round.Advice
            .SelectMany(advice => Of(advice, advice.Grafts, round.Date))
            .DistinctBy(line => (line.Action, line.Hazard, line.Graft))
            .ToArray();
    }

    /// <summary>What a line says of some of its grafts: its own hazard first, then each other hazard the work is meant for.</summary>
    /// <param name="advice">The line.</param>
    /// <param name="grafts">Labels among the line's.</param>
    /// <param name="today">First day of what is new.</param>
    public static IEnumerable<SaidLine> Of(Advice advice, IReadOnlyList<string> grafts, LocalDate today)
    {
        ArgumentNullException.ThrowIfNull(advice);
        SaidLine Line(Hazard? hazard, Level level, string graft) =>
            new(advice.Action, hazard, graft, level, advice.OpenSince ?? today) { Advice = advice.Id, Words = advice.Text, Materials = advice.Materials };
        var among = new HashSet<string>(grafts, StringComparer.Ordinal);
        return grafts.Select(graft => Line(advice.Hazard, advice.Reached ?? advice.Level, graft))
            .Concat(advice.AlsoAgainst.SelectMany(other => other.Grafts.Where(among.Contains).Select(graft => Line(other.Hazard, other.Level, graft))));
    }
}

/// <summary>What the grower answered to an advice.</summary>
/// <param name="Action">What.</param>
/// <param name="Hazard">Which hazard, or null.</param>
/// <param name="Grafts">Labels the answer is about.</param>
/// <param name="State">Done, put off or not needed.</param>
/// <param name="Until">For work put off: silent until this day.</param>
/// <param name="At">When.</param>
/// <param name="On">The grower's local day of <paramref name="At"/>; null when the caller does not know the zone.</param>
public sealed record SaidAnswer(WorkAction Action, Hazard? Hazard, IReadOnlyList<string> Grafts, SaidState State, LocalDate? Until, Instant At, LocalDate? On = null)
{
    /// <summary>Other hazards of the line the answer was given to; known where it is read back.</summary>
    public IReadOnlyList<Hazard> AlsoAgainst { get; init; } = [];

    /// <summary>Whether it answers work against a hazard, or dated work where that is null.</summary>
    public bool Answers(WorkAction action, Hazard? hazard) =>
        Action == action && (Hazard == hazard || (hazard is { } one && AlsoAgainst.Contains(one)));
}

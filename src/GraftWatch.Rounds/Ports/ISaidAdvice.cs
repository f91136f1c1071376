using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>What the links of letters are about.</summary>
public interface ISaidAdvice
{
    /// <summary>An advice as a letter last said it; null when it was never said or long ago.</summary>
    Task<SaidAdvice?> FindAsync(string grower, string advice, CancellationToken cancellationToken);
}

/// <summary>One line of work as a letter said it.</summary>
/// <param name="Id">Id of the advice.</param>
/// <param name="SaidOn">Local day of the letter that said it last.</param>
/// <param name="SaidAt">When that letter was sealed.</param>
/// <param name="Action">What.</param>
/// <param name="Hazard">Which hazard, or null.</param>
/// <param name="Level">How pressing.</param>
/// <param name="Materials">What to bring.</param>
/// <param name="Grafts">Labels, in the letter's order.</param>
/// <param name="Words">The sentence of the letter.</param>
public sealed record SaidAdvice(
    string Id, LocalDate SaidOn, Instant SaidAt, WorkAction Action, Hazard? Hazard, Level Level, IReadOnlyList<string> Materials, IReadOnlyList<string> Grafts, string Words)
{
    /// <summary>Other hazards the letter meant the same work for.</summary>
    public IReadOnlyList<AlsoAgainst> AlsoAgainst { get; init; } = [];

    /// <summary>As much of the advice as an answer to it needs; numbers and hours are not kept.</summary>
    public Advice ToAdvice() => new()
    {
        Id = Id,
        Action = Action,
        Hazard = Hazard,
        AlsoAgainst = AlsoAgainst,
        Level = Level,
        Grafts = Grafts,
        Where = string.Empty,
        Unions = Grafts.Count,
        Reasons = [],
        Materials = Materials,
        Text = Words,
        Why = string.Empty,
        OpenSince = SaidOn,
        Place = string.Empty,
    };
}

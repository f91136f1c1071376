using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;

namespace GraftWatch.Rounds.Ports;

/// <summary>The register of grafts and what growers saw and did.</summary>
public interface IRegister
{
    /// <summary>The grower's grafts, in walking order.</summary>
    Task<IReadOnlyList<Graft>> LoadGraftsAsync(string grower, CancellationToken cancellationToken);

    /// <summary>The grower's observations, oldest first.</summary>
    Task<IReadOnlyList<Observation>> LoadObservationsAsync(string grower, CancellationToken cancellationToken);

    /// <summary>What was said to the grower before and what became of it.</summary>
    /// <remarks>
    /// An answer counts until the advice is said again. Without an answer an advice is open as long as the last morning letter
    /// said it; what that letter no longer said is over and is not in the list.
    /// </remarks>
    Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken);

    /// <summary>What was wrong with the grower's register when it was last loaded, though grafts could be had: a sentence for the letter, or empty.</summary>
    string TroubleOf(string grower) => string.Empty;
}

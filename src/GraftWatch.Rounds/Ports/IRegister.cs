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
    Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken);
}

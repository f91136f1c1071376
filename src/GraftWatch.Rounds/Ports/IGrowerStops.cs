using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Who wants no letters at present. Nothing else of a grower changes: records, notes and answers stay, and letters can be resumed.</summary>
public interface IGrowerStops
{
    /// <summary>All growers whose letters are stopped, by name.</summary>
    Task<IReadOnlyList<GrowerStop>> LoadStopsAsync(CancellationToken cancellationToken);

    /// <summary>How the letters of one grower stand; null while they go out.</summary>
    Task<GrowerStop?> FindStopAsync(string grower, CancellationToken cancellationToken);

    /// <summary>Stops the letters at once: in the same transaction letters that wait and are not on the line are given up.</summary>
    /// <returns>The stop in force: this one, or the earlier one that it changed nothing about.</returns>
    Task<GrowerStop> StopAsync(string grower, StoppedBy by, Instant at, CancellationToken cancellationToken);

    /// <summary>Resumes the letters, from the next one due.</summary>
    /// <returns>False when they were not stopped.</returns>
    Task<bool> ResumeAsync(string grower, CancellationToken cancellationToken);
}

/// <summary>Letters that are stopped.</summary>
/// <param name="Grower">Whose.</param>
/// <param name="At">Since when.</param>
/// <param name="By">By whose word.</param>
public sealed record GrowerStop(string Grower, Instant At, StoppedBy By)
{
    /// <summary>What the ledger says of a letter that waited when the letters were stopped.</summary>
    public const string NotSent = "not sent: the letters were stopped";
}

/// <summary>By whose word letters are stopped.</summary>
public enum StoppedBy
{
    /// <summary>The grower's, by the link or button in a letter.</summary>
    Grower = 0,

    /// <summary>The operator's.</summary>
    Operator,
}

namespace GraftWatch.Rounds.Ports;

/// <summary>Tells workers apart: each running program has a name of its own, the same again after a restart.</summary>
public interface IWorkerName
{
    /// <summary>The name.</summary>
    Task<string> NameAsync(CancellationToken cancellationToken);
}

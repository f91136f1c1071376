using System.Collections.Concurrent;
using System.Globalization;

namespace GraftWatch.Crash.Stores;

/// <summary>What the killed programs had been told the store has.</summary>
public sealed class Acknowledged
{
    private readonly ConcurrentDictionary<(string Grower, int Number), string> sealedHashes = new();
    private readonly ConcurrentDictionary<(string Grower, int Number), bool> accepted = new();

    /// <summary>Hash of each sealed letter.</summary>
    public IReadOnlyDictionary<(string Grower, int Number), string> Sealed => sealedHashes;

    /// <summary>Letters whose receipt was noted.</summary>
    public ICollection<(string Grower, int Number)> Accepted => accepted.Keys;

    /// <summary>Number of promises.</summary>
    public int Count => sealedHashes.Count + accepted.Count;

    /// <summary>Whatever the writer said that is not a promise.</summary>
    public ConcurrentQueue<string> Other { get; } = new();

    /// <summary>Reads one line of a writer.</summary>
    public void Hear(string line)
    {
        string[] words = line.Split(' ');
        switch (words)
        {
            case ["S", var grower, var number, { Length: 64 } hash]:
                sealedHashes[(grower, int.Parse(number, CultureInfo.InvariantCulture))] = hash;
                break;
            case ["A", var grower, var number]:
                accepted[(grower, int.Parse(number, CultureInfo.InvariantCulture))] = true;
                break;
            default:
                Other.Enqueue(line);
                break;
        }
    }

    /// <summary>A copy of what is known now.</summary>
    public Acknowledged Snapshot()
    {
        var copy = new Acknowledged();
        foreach ((var key, string hash) in sealedHashes)
        {
            copy.sealedHashes[key] = hash;
        }

        foreach (var key in accepted.Keys)
        {
            copy.accepted[key] = true;
        }

        return copy;
    }
}

/// <summary>What a harness found.</summary>
/// <param name="Passed">Kills or cuts after which everything promised was there.</param>
/// <param name="Failed">Kills or cuts after which something was not.</param>
/// <param name="Acknowledged">Promises checked at the end.</param>
/// <param name="Faults">The first faults, one sentence each.</param>
public sealed record CrashTally(int Passed, int Failed, int Acknowledged, IReadOnlyList<string> Faults)
{
    /// <inheritdoc/>
    public override string ToString() =>
        string.Join('\n', [.. Faults, string.Create(CultureInfo.InvariantCulture, $"{Passed} passed, {Failed} failed, {Acknowledged} promises checked")]);
}

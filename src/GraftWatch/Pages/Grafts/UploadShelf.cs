using System.Security.Cryptography;
using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Pages.Grafts;

/// <summary>Registers that were sent and looked at but not yet kept: in memory, for minutes, one a grower.</summary>
internal sealed class UploadShelf
{
    /// <summary>How long a register waits for its grower.</summary>
    internal static readonly Duration Life = Duration.FromMinutes(20);

    private const int Most = 32;
    private readonly Lock gate = new();
    private readonly Dictionary<string, WaitingRegister> waiting = new(StringComparer.Ordinal);

    /// <summary>Puts a register by; one of the same grower before it is dropped.</summary>
    /// <returns>The key the grower's next page names it by.</returns>
    internal string Put(string grower, IReadOnlyList<Graft> grafts, bool replaces, Instant now)
    {
        string key = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(16));
        lock (gate)
        {
            foreach (string old in waiting.Where(pair => now - pair.Value.At > Life).Select(pair => pair.Key).ToArray())
            {
                waiting.Remove(old);
            }

            if (waiting.Count >= Most && !waiting.ContainsKey(grower))
            {
                waiting.Remove(waiting.MinBy(pair => pair.Value.At).Key);
            }

            waiting[grower] = new WaitingRegister(key, grafts, replaces, now);
        }

        return key;
    }

    /// <summary>The grower's register with a key; null when it is another's, or its minutes are over.</summary>
    internal WaitingRegister? Find(string grower, string key, Instant now)
    {
        lock (gate)
        {
            return waiting.TryGetValue(grower, out WaitingRegister? register) && register.Key == key && now - register.At <= Life ? register : null;
        }
    }

    /// <summary>Takes a register off the shelf.</summary>
    internal void Drop(string grower)
    {
        lock (gate)
        {
            waiting.Remove(grower);
        }
    }
}

/// <summary>A register that waits to be kept.</summary>
/// <param name="Key">Its key.</param>
/// <param name="Grafts">Its grafts.</param>
/// <param name="Replaces">Whether grafts it lacks are to go.</param>
/// <param name="At">When it was sent.</param>
internal sealed record WaitingRegister(string Key, IReadOnlyList<Graft> Grafts, bool Replaces, Instant At);

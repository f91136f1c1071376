using System.Globalization;
using System.Text;

namespace GraftWatch.Serving;

/// <summary>A share of the growers, so that daemons on one store look through mornings side by side; every grower is in exactly one share.</summary>
/// <param name="Number">Which, from 0.</param>
/// <param name="Of">How many there are.</param>
internal readonly record struct MorningShare(int Number, int Of)
{
    private const string Job = "morning";

    /// <summary>Name of the job that looks through this share.</summary>
    internal string JobName => Of == 1 ? Job : string.Create(CultureInfo.InvariantCulture, $"{Job} {Number + 1} of {Of}");

    /// <summary>The shares of a daemon alone, or of daemons together.</summary>
    internal static IReadOnlyList<MorningShare> All(int of) => [.. Enumerable.Range(0, of).Select(number => new MorningShare(number, of))];

    /// <summary>Whether a job looks through mornings.</summary>
    internal static bool IsJob(string name) => name == Job || name.StartsWith(Job + " ", StringComparison.Ordinal);

    /// <summary>The share a job looks through, read from its name.</summary>
    internal static MorningShare OfJob(string name)
    {
        string[] words = name.Split(' ');
        return words is [Job, var number, "of", var of]
            ? new MorningShare(int.Parse(number, CultureInfo.InvariantCulture) - 1, int.Parse(of, CultureInfo.InvariantCulture))
            : new MorningShare(0, 1);
    }

    /// <summary>Whether a grower belongs to it: by FNV-1a over the name, the same in every process.</summary>
    internal bool Has(string grower)
    {
        uint hash = 2166136261;
        foreach (byte letter in Encoding.UTF8.GetBytes(grower))
        {
            hash = unchecked((hash ^ letter) * 16777619);
        }

        // The low bits of FNV-1a alone spread short names unevenly.
        return (int)((hash ^ (hash >> 15)) % (uint)Of) == Number;
    }
}

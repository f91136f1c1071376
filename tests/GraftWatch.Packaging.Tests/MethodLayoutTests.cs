using GraftWatch.Testing;

namespace GraftWatch.Packaging.Tests;

/// <summary>The list of methods that the compiler lays side by side, so that a resting daemon needs little of the program in memory.</summary>
public sealed class MethodLayoutTests
{
    private const double StillThere = 0.9;

    private static string[] Listed { get; } = File.ReadAllLines(Repository.PathOf("deploy", "layout", "warm-methods.txt"));

    [Fact]
    public void It_names_nothing_twice() => Assert.Distinct(Listed, StringComparer.Ordinal);

    [Fact]
    public void Nine_in_ten_of_its_methods_are_in_the_program_and_they_lie_together()
    {
        string symbols = Dist.OrSkip(Dist.PathOf("symbols", $"graftwatch-{Dist.Version}-{Dist.Platform}.dbg"));
        Shell.OrSkip("nm", "binutils");
        ILookup<string, ulong> places = Shell.Run("sh", "-c", $"nm --defined-only '{symbols}' | grep -i ' t '").Fine().Split('\n')
            .Select(line => line.Split(' ', 3))
            .Where(parts => parts.Length == 3)
            .ToLookup(parts => parts[2], parts => Convert.ToUInt64(parts[0], 16), StringComparer.Ordinal);
        string[] found = [.. Listed.Where(places.Contains)];
        Assert.True(found.Length > StillThere * Listed.Length, $"Of {Listed.Length} methods {found.Length} are in the program. Run deploy/layout/record.");

        ulong[] warm = [.. found.Select(name => places[name].First()).Order()];
        ulong[] all = [.. places.SelectMany(place => place).Order()];
        ulong reach = warm[(int)(0.95 * warm.Length)] - warm[(int)(0.05 * warm.Length)];
        Assert.InRange(reach, 1UL, (all[^1] - all[0]) / 2);
    }
}

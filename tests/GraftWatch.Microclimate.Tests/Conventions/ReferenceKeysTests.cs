using System.Text.RegularExpressions;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Conventions;

public partial class ReferenceKeysTests
{
    [Fact]
    public void Every_cited_source_stands_in_the_list_of_references()
    {
        HashSet<string> known = Known();
        string[] files =
        [
            .. Files("src/GraftWatch.Microclimate", "*.cs"),
            .. Files("tests/GraftWatch.Microclimate.Tests", "*.cs"),
            .. Files("tests/GraftWatch.Microclimate.Tests/Vectors", "*.csv"),
        ];
        var unknown = new List<string>();
        int cited = 0;
        foreach (string file in files)
        {
            foreach (Match match in Key().Matches(File.ReadAllText(file)))
            {
                cited++;
                if (!known.Contains(match.Groups[1].Value))
                {
                    unknown.Add($"{Path.GetFileName(file)}: {match.Value}");
                }
            }
        }

        Assert.Empty(unknown);
        Assert.True(cited > 100, "the pattern finds the citations");
    }

    [Fact]
    public void References_are_alphabetic_and_unique()
    {
        string[] keys = [.. Lines().Select(KeyOf)];
        Assert.Equal(keys.Distinct(StringComparer.OrdinalIgnoreCase).Order(StringComparer.OrdinalIgnoreCase), keys);
    }

    [Fact]
    public void Outside_check_values_come_from_many_named_sources()
    {
        int values = 0;
        var sources = new HashSet<string>(StringComparer.Ordinal);
        foreach (string path in Files("tests/GraftWatch.Microclimate.Tests/Vectors", "*.csv"))
        {
            VectorFile file = VectorFile.Parse(Path.GetFileName(path), File.ReadAllText(path));
            if (file.Source.StartsWith("regression", StringComparison.Ordinal))
            {
                continue;
            }

            Match key = Key().Match(file.Source);
            Assert.True(key.Success, $"{path} names no source key.");
            values += file.CheckedValues;
            sources.Add(key.Groups[1].Value);
        }

        Assert.True(values >= 250, $"{values} outside values");
        Assert.True(sources.Count >= 15, $"{sources.Count} sources: {string.Join(", ", sources.Order())}");
    }

    private static HashSet<string> Known() => [.. Lines().Select(KeyOf)];

    /// <summary>The key a line of the list defines; keys of undated sources carry no year.</summary>
    private static string KeyOf(string line) => line[3..line.IndexOf(']', StringComparison.Ordinal)];

    private static IEnumerable<string> Lines() =>
        File.ReadAllLines(Repository.PathOf("docs", "references.md")).Where(l => l.StartsWith("- [", StringComparison.Ordinal));

    private static IEnumerable<string> Files(string folder, string pattern) =>
        Directory.EnumerateFiles(Repository.PathOf(folder.Split('/')), pattern, SearchOption.AllDirectories);

    [GeneratedRegex(@"\[([A-Z][A-Za-z]+[12]\d{3}[a-z]?)\]")]
    private static partial Regex Key();
}

using System.Text.RegularExpressions;
using GraftWatch.Testing;

namespace GraftWatch.Conventions.Tests;

/// <summary>How the tree looks: what may stand at its top, how long a file may be, which words may not occur.</summary>
public partial class TreeTests
{
    private static readonly string[] TopLevel =
    [
        "README.md", "DEVELOPERS.md", "GraftWatch.sln", "src", "tests", "config", "deploy", "docs", "LICENSE",
        "Directory.Build.props", "Directory.Build.targets", "Directory.Packages.props", "global.json",
    ];

    private static readonly string[] SourceProjects =
        ["GraftWatch.Microclimate", "GraftWatch.Aftercare", "GraftWatch.Rounds", "GraftWatch.Settings", "GraftWatch.Forecasts", "GraftWatch.Records", "GraftWatch.Letters", "GraftWatch"];

    public static TheoryData<string> Projects => new(SourceProjects);

    [Fact]
    public void Nothing_but_the_agreed_stands_at_the_top()
    {
        string[] strangers = Directory.EnumerateFileSystemEntries(Repository.Root).Select(p => Path.GetFileName(p)!)
            .Where(n => !n.StartsWith('.') && n is not ("artifacts" or "TestResults" or "BenchmarkDotNet.Artifacts")).Except(TopLevel).ToArray();
        Assert.Empty(strangers);
        Assert.All(TopLevel, name => Assert.True(Path.Exists(Repository.PathOf(name)), $"{name} is missing."));
    }

    [Fact]
    public void The_sources_are_the_eight_projects_of_the_table() =>
        Assert.Equal(SourceProjects.Order(), Directory.GetDirectories(Repository.PathOf("src")).Select(p => Path.GetFileName(p)!).Order());

    [Theory]
    [MemberData(nameof(Projects))]
    public void Every_project_has_tests_and_a_paragraph_for_developers(string project)
    {
        string tests = project == "GraftWatch" ? "GraftWatch.EndToEnd.Tests" : project + ".Tests";
        Assert.True(Directory.Exists(Repository.PathOf("tests", tests)), $"{tests} is missing.");
        Assert.Contains($"`{project}`", File.ReadAllText(Repository.PathOf("DEVELOPERS.md")), StringComparison.Ordinal);
        Assert.Contains($"\"{project}\", ", File.ReadAllText(Repository.PathOf("GraftWatch.sln")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Every_source_project_is_compatible_with_ahead_of_time_compilation()
    {
        using var tree = new ScratchTree();
        foreach (string project in SourceProjects)
        {
            (int exit, string output) = await tree.DotnetAsync(
                "msbuild", Repository.PathOf("src", project, project + ".csproj"), "-getProperty:IsAotCompatible,Nullable,TreatWarningsAsErrors", "-nologo");
            Assert.True(exit == 0, output);
            Assert.Matches("\"IsAotCompatible\": \"true\"", output);
            Assert.Matches("\"Nullable\": \"enable\"", output);
            Assert.Matches("\"TreatWarningsAsErrors\": \"true\"", output);
        }
    }

    [Fact]
    public void No_source_file_is_longer_than_four_hundred_lines()
    {
        string[] longOnes = Sources("src").Where(f => File.ReadLines(f).Count() > 400).Select(Relative).ToArray();
        Assert.Empty(longOnes);
    }

    [Fact]
    public void Nothing_is_left_half_said_in_the_sources()
    {
        string[] found = Sources("src").Concat(Sources("tests"))
            .Where(f => !f.EndsWith("TreeTests.cs", StringComparison.Ordinal))
            .SelectMany(f => File.ReadLines(f).Select((line, i) => (File: Relative(f), Number: i + 1, Line: line)))
            .Where(x => Unfinished().IsMatch(x.Line))
            .Select(x => $"{x.File}:{x.Number} {x.Line.Trim()}").ToArray();
        Assert.Empty(found);
    }

    [Fact]
    public void Every_suppressed_warning_in_the_sources_says_why()
    {
        string[] silent = Sources("src")
            .SelectMany(f => File.ReadLines(f).Select((line, i) => (File: Relative(f), Number: i + 1, Line: line)))
            .Where(x => x.Line.TrimStart().StartsWith("#pragma warning disable", StringComparison.Ordinal) && !x.Line.Contains("//", StringComparison.Ordinal))
            .Select(x => $"{x.File}:{x.Number}").ToArray();
        Assert.Empty(silent);
    }

    [Fact]
    public void Every_file_of_code_has_the_namespace_of_its_folder()
    {
        var wrong = new List<string>();
        foreach (string file in Sources("src").Concat(Sources("tests")))
        {
            string? declared = File.ReadLines(file).FirstOrDefault(l => l.StartsWith("namespace ", StringComparison.Ordinal))?[10..].TrimEnd(';', ' ', '{');
            string expected = Path.GetDirectoryName(Relative(file))!.Replace('\\', '/').Split('/', 2)[1].Replace('/', '.');
            if (declared is not null && declared != expected)
            {
                wrong.Add($"{Relative(file)} says {declared}, its folder {expected}");
            }
        }

        Assert.Empty(wrong);
    }

    private static IEnumerable<string> Sources(string folder) =>
        Directory.EnumerateFiles(Repository.PathOf(folder), "*.cs", SearchOption.AllDirectories)
            .Where(f => !f.Contains("/obj/", StringComparison.Ordinal) && !f.Contains("/bin/", StringComparison.Ordinal));

    private static string Relative(string file) => Path.GetRelativePath(Repository.Root, file);

    [GeneratedRegex(@"\b(TODO|FIXME|HACK)\b|NotImplementedException|Assert\.True\(true")]
    private static partial Regex Unfinished();
}

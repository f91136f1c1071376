using System.CommandLine;
using System.Text.RegularExpressions;
using GraftWatch.CommandLine;
using GraftWatch.Testing;

namespace GraftWatch.Packaging.Tests;

/// <summary>The guide for running GraftWatch says what is so.</summary>
public sealed partial class OperationsGuideTests
{
    private static readonly string Guide = File.ReadAllText(Repository.PathOf("docs", "operations.md"));

    [Fact]
    public void Every_command_line_in_it_is_one_the_program_takes()
    {
        string[] lines = [.. Blocks().Matches(Guide).SelectMany(block => block.Groups[1].Value.Split('\n'))
            .Concat(InLine().Matches(Guide).Select(match => match.Groups[1].Value))
            .Select(line => CommandLine().Match(line.Split("  #")[0].Split(" | ")[0].Split(" >")[0])).Where(match => match.Success).Select(match => match.Groups[1].Value.Trim())];
        Assert.True(lines.Length > 15, string.Join("\n", lines));
        RootCommand root = GraftWatchCommand.Build(new Terminal(TextWriter.Null, TextWriter.Null, TimeProvider.System, "/"));
        Assert.All(lines, line => Assert.True(root.Parse(line).Errors.Count == 0, $"graftwatch {line}: {string.Join(' ', root.Parse(line).Errors)}"));
    }

    [Fact]
    public void Every_numbered_line_of_the_log_is_explained()
    {
        string[] numbers = [.. Directory.EnumerateFiles(Repository.PathOf("src"), "*.cs", SearchOption.AllDirectories).SelectMany(file => Numbers().Matches(File.ReadAllText(file)))
            .Select(match => match.Groups[1].Value).Distinct()];
        Assert.True(numbers.Length > 20);
        string table = Guide[Guide.IndexOf("## What the log says", StringComparison.Ordinal)..];
        Assert.All(numbers, number => Assert.Matches($@"\b{number}\b", table));
    }

    [Fact]
    public void Its_proxy_settings_are_those_that_were_tried()
    {
        string[] tried = [.. File.ReadAllLines(Repository.PathOf("deploy", "proxy", "nginx.conf")).Select(line => line.Trim()).Where(line => line.Length > 0 && line[0] != '#')];
        string[] shown = [.. Guide.Split("```nginx\n")[1].Split("```")[0].Split('\n').Select(line => line.Trim()).Where(line => line.Length > 0)];
        Assert.Equal(tried, shown);
    }

    [Fact]
    public void Every_file_it_links_to_is_there()
    {
        string[] links = [.. Links().Matches(Guide).Select(match => match.Groups[1].Value)];
        Assert.NotEmpty(links);
        Assert.All(links, link => Assert.True(Path.Exists(Path.Combine(Repository.PathOf("docs"), link)), link));
    }

    [GeneratedRegex("^```[a-z]*\n(.*?)^```", RegexOptions.Singleline | RegexOptions.Multiline)]
    private static partial Regex Blocks();

    [GeneratedRegex("`((?:podman exec )?graftwatch [^`]+)`")]
    private static partial Regex InLine();

    [GeneratedRegex(@"^(?!.*\b(?:systemctl|podman run|rsync|createuser|createdb|install|apt)\b)(?:.*\s)?graftwatch ([a-z].*)$")]
    private static partial Regex CommandLine();

    [GeneratedRegex(@"LoggerMessage\((?:EventId = )?(\d{4})")]
    private static partial Regex Numbers();

    [GeneratedRegex(@"\]\(([^)#h][^)#]*)\)")]
    private static partial Regex Links();
}

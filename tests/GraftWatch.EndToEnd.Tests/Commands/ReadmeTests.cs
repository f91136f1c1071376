using System.Text.RegularExpressions;
using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Commands;

/// <summary>The commands of the README run as they stand there, so that its reader is never the first to try them.</summary>
public sealed partial class ReadmeTests : IDisposable
{
    private const string Program = "dotnet run --project src/GraftWatch -- ";
    private static readonly string[] Lines = File.ReadAllLines(Repository.PathOf("README.md"));
    private readonly CommandRun run = new();

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task Every_command_of_the_readme_that_needs_no_installation_ends_well()
    {
        Prepare();
        string[] commands = [.. Lines.Where(line => line.StartsWith(Program, StringComparison.Ordinal)).Select(line => line[Program.Length..])];
        Assert.Contains("demo", commands);
        foreach (string command in commands)
        {
            Assert.True(await run.RunAsync(command.Split(' ', StringSplitOptions.RemoveEmptyEntries)) == 0, $"{command}: {run.Messages}");
        }
    }

    [Fact]
    public async Task A_reader_changes_a_level_as_the_readme_says_and_sees_what_it_does()
    {
        Prepare();
        Match edit = Lines.Select(line => SedLine().Match(line)).Single(match => match.Success);
        string path = Path.Combine(run.Folder, edit.Groups["file"].Value);
        string before = File.ReadAllText(path);
        Assert.Contains(edit.Groups["old"].Value, before, StringComparison.Ordinal);
        File.WriteAllText(path, before.Replace(edit.Groups["old"].Value, edit.Groups["new"].Value, StringComparison.Ordinal));

        string replay = Lines.Single(line => line.StartsWith(Program + "replay ", StringComparison.Ordinal))[Program.Length..];
        Assert.True(await run.RunAsync(replay.Split(' ', StringSplitOptions.RemoveEmptyEntries)) == 0, run.Messages);
        Assert.Matches(@"From A to B \d+ lines appear, \d+ vanish", run.Results);
        Assert.Matches(@"\d{4}-\d\d-\d\d  heat +silent -> act  shade appears", run.Results);
        Assert.Matches(@"heat, note +\d+ +\d+ +-\d+", run.Results);
        Assert.True(File.Exists(Path.Combine(run.Folder, "season.html")));
    }

    [Fact]
    public async Task The_letter_in_the_readme_is_how_the_letter_of_the_demonstration_begins()
    {
        await run.RunAsync("demo");
        if (Environment.GetEnvironmentVariable("GRAFTWATCH_WRITE_DEMO") == "1")
        {
            Rewrite(run.Results.Split('\n'));
        }

        string[] shown = [.. Lines.SkipWhile(line => line != "```text").Skip(1).TakeWhile(line => line is not ("```" or "…"))];
        Assert.NotEmpty(shown);
        Assert.Equal(shown.Select(line => line.TrimEnd()), run.Results.Split('\n').Take(shown.Length).Select(line => line.TrimEnd()));
    }

    // The files a reader has: a saved reply, a register, and a copy of the settings, made as the README says.
    private void Prepare()
    {
        string demo = Repository.PathOf("src", "GraftWatch", "Demo");
        File.Copy(Path.Combine(demo, "weather.json"), Path.Combine(run.Folder, "reply.json"));
        File.Copy(Path.Combine(demo, "register.csv"), Path.Combine(run.Folder, "register.csv"));
        string[] copy = Lines.Single(line => line.StartsWith("cp -r config trial", StringComparison.Ordinal)).Split(' ');
        string to = Directory.CreateDirectory(Path.Combine(run.Folder, copy[3])).FullName;
        foreach (string file in Directory.EnumerateFiles(Repository.PathOf(copy[2])))
        {
            File.Copy(file, Path.Combine(to, Path.GetFileName(file)));
        }
    }

    private static void Rewrite(string[] letter)
    {
        int from = Array.IndexOf(Lines, "```text") + 1;
        for (int line = from; Lines[line] is not ("```" or "…"); line++)
        {
            Lines[line] = letter[line - from].TrimEnd();
        }

        File.WriteAllText(Repository.PathOf("README.md"), string.Join('\n', Lines) + "\n");
    }

    [GeneratedRegex("^sed -i 's/(?<old>[^/]+)/(?<new>[^/]+)/' (?<file>\\S+)$")]
    private static partial Regex SedLine();
}

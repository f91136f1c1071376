using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Commands;

/// <summary>The commands of the README run as they stand there, so that its reader is never the first to try them.</summary>
public sealed class ReadmeTests : IDisposable
{
    private const string Program = "dotnet run --project src/GraftWatch -- ";
    private static readonly string[] Lines = File.ReadAllLines(Repository.PathOf("README.md"));
    private readonly CommandRun run = new();

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task Every_command_of_the_readme_that_needs_no_installation_ends_well()
    {
        string demo = Repository.PathOf("src", "GraftWatch", "Demo");
        File.Copy(Path.Combine(demo, "weather.json"), Path.Combine(run.Folder, "reply.json"));
        File.Copy(Path.Combine(demo, "register.csv"), Path.Combine(run.Folder, "register.csv"));
        string[] commands = [.. Lines.Where(line => line.StartsWith(Program, StringComparison.Ordinal)).Select(line => line[Program.Length..])];
        Assert.Contains("demo", commands);
        foreach (string command in commands)
        {
            Assert.True(await run.RunAsync(command.Split(' ', StringSplitOptions.RemoveEmptyEntries)) == 0, $"{command}: {run.Messages}");
        }
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

    private static void Rewrite(string[] letter)
    {
        int from = Array.IndexOf(Lines, "```text") + 1;
        for (int line = from; Lines[line] is not ("```" or "…"); line++)
        {
            Lines[line] = letter[line - from].TrimEnd();
        }

        File.WriteAllText(Repository.PathOf("README.md"), string.Join('\n', Lines) + "\n");
    }
}

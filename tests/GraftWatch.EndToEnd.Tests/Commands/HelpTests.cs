namespace GraftWatch.EndToEnd.Tests.Commands;

public sealed class HelpTests : IDisposable
{
    private readonly CommandRun run = new();

    public void Dispose() => run.Dispose();

    [Theory]
    [InlineData("demo")]
    [InlineData("round")]
    [InlineData("serve")]
    [InlineData("check")]
    [InlineData("explain")]
    [InlineData("replay")]
    [InlineData("observe")]
    [InlineData("import")]
    [InlineData("export")]
    [InlineData("backup")]
    [InlineData("restore")]
    public async Task Every_command_explains_itself_and_every_option_has_a_sentence(string command)
    {
        Assert.Equal(0, await run.RunAsync(command, "--help"));
        string[] options = [.. run.Results.Split('\n').Where(line => line.StartsWith("  --", StringComparison.Ordinal))];
        Assert.NotEmpty(options);
        Assert.All(options, line => Assert.Matches(@"^  --[a-z-]+( <[^>]+>)?( \(REQUIRED\))?  +\S.{10,}", line));
        Assert.Empty(run.Messages);
    }

    [Fact]
    public async Task The_program_lists_its_commands()
    {
        Assert.Equal(0, await run.RunAsync("--help"));
        foreach (string command in new[] { "demo", "round", "explain", "serve", "check", "observe", "import", "export", "backup", "restore" })
        {
            Assert.Contains($"\n  {command} ", run.Results, StringComparison.Ordinal);
        }
    }
}

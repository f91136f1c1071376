using System.Diagnostics;
using MimeKit;

namespace GraftWatch.EndToEnd.Tests.Commands;

public sealed class DemoCommandTests : IDisposable
{
    private readonly CommandRun run = new();

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task The_demonstration_prints_a_round_and_writes_a_letter_that_a_mail_program_opens()
    {
        Assert.Equal(0, await run.RunAsync("demo"));
        Assert.StartsWith("Tuesday 12 May 2026, Sorrel Bank", run.Results, StringComparison.Ordinal);
        Assert.Contains("invented", run.Messages, StringComparison.Ordinal);

        string path = Path.Combine(run.Folder, "graftwatch-demo.eml");
        Assert.Contains(path, run.Messages, StringComparison.Ordinal);
        MimeMessage letter = await MimeMessage.LoadAsync(path, TestContext.Current.CancellationToken);
        Assert.StartsWith("Tue 12 May", letter.Subject, StringComparison.Ordinal);
        Assert.Contains("Sorrel Bank", letter.TextBody, StringComparison.Ordinal);
        Assert.Contains("<html", letter.HtmlBody, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_demonstration_is_the_same_every_time()
    {
        await run.RunAsync("demo", "--out", "first.eml");
        string first = run.Results;
        run.Clock.Advance(TimeSpan.FromDays(40));
        await run.RunAsync("demo", "--out", "second.eml");
        Assert.Equal(first, run.Results);
        Assert.Equal(File.ReadAllBytes(Path.Combine(run.Folder, "first.eml")), File.ReadAllBytes(Path.Combine(run.Folder, "second.eml")));
    }

    [Fact]
    public async Task A_letter_that_cannot_be_written_is_a_failure_with_a_sentence()
    {
        Assert.Equal(1, await run.RunAsync("demo", "--out", "no-such-folder/letter.eml"));
        Assert.Contains("no-such-folder", run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task As_a_process_the_demonstration_ends_well()
    {
        using Process process = StartProcess(run.Folder, "demo");
        Task<string> results = process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        string messages = await process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(process.ExitCode == 0, messages);
        Assert.Contains("Sorrel Bank", await results, StringComparison.Ordinal);
    }

    internal static Process StartProcess(string folder, params string[] arguments)
    {
        var start = new ProcessStartInfo(Path.Combine(AppContext.BaseDirectory, OperatingSystem.IsWindows() ? "graftwatch.exe" : "graftwatch"), arguments)
        {
            WorkingDirectory = folder,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        return Process.Start(start) ?? throw new InvalidOperationException("The program did not start.");
    }
}

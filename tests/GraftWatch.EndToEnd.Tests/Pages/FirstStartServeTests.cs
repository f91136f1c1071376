using System.Net;
using System.Text.RegularExpressions;
using GraftWatch.CommandLine;
using GraftWatch.Testing.Mail;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class FirstStartServeTests
{
    [Fact]
    public async Task Serve_asks_where_there_are_no_settings_and_goes_on_with_them_in_the_same_process()
    {
        string folder = Directory.CreateTempSubdirectory("graftwatch-first-serve-").FullName;
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        using var messages = new StringWriter();
        TextWriter told = TextWriter.Synchronized(messages);
        string listen = $"127.0.0.1:{LoopbackMailServer.FreePort()}";
        Task<int> serving = GraftWatchCommand.RunAsync(
            ["serve", "--first-start", "--config", "settings", "--listen", listen, "--watch", "off"], new Terminal(TextWriter.Null, told, TimeProvider.System, folder), stop.Token);
        try
        {
            await UntilAsync(() => messages.ToString().Contains("?code=", StringComparison.Ordinal) || serving.IsCompleted);
            string code = Regex.Match(messages.ToString(), "code=([a-z0-9-]+)").Groups[1].Value;
            using var browser = new Browser(new Uri("http://" + listen), "en");
            await browser.PressAsync("/?code=" + code, "/first-start", ("code", code));
            await browser.PressAsync("/first-start/place", "/first-start/place", ("where", "48.02, 9.06"), ("elevation", "465"), ("place", "Sorrel Bank"), ("zone", "Europe/Berlin"));
            await browser.PressAsync("/first-start/mail", "/first-start/mail", ("act", "files"));
            await browser.PressAsync("/first-start/grower", "/first-start/grower", ("address", "mara@sorrelbank.example"), ("name", "Mara"), ("hour", "05:30"), ("units", "metric"));
            await browser.PressAsync("/first-start/register", "/first-start/register", ("act", "none"));
            await browser.PressAsync("/first-start/finish", "/first-start/finish");
            await browser.OpenAsync("/first-start/done");

            Shown? state = null;
            await UntilAsync(async () => serving.IsCompleted || (state = await TryAsync(browser, "/operator")) is { Status: HttpStatusCode.OK });
            Assert.False(serving.IsCompleted, messages.ToString());
            Assert.Contains("as files into", state!.Plain, StringComparison.Ordinal);
            Assert.Contains("to Mara", state.Plain, StringComparison.Ordinal);
            Assert.True(File.Exists(Path.Combine(folder, "settings", "graftwatch.toml")));
        }
        finally
        {
            await stop.CancelAsync();
            await Task.WhenAny(serving, Task.Delay(TimeSpan.FromSeconds(20), CancellationToken.None));
            Assert.True(serving.IsCompleted);
            Assert.Equal(0, await serving);
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public async Task Nobody_is_asked_where_nobody_sits_and_the_refusal_says_how_to_be()
    {
        using var run = new Commands.CommandRun();
        Assert.Equal(2, await run.RunAsync("serve", "--config", "none"));
        Assert.Contains("Name the folder with --config, or let graftwatch serve --first-start ask", run.Messages, StringComparison.Ordinal);
        Assert.False(Directory.Exists(Path.Combine(run.Folder, "none")));
    }

    private static Task UntilAsync(Func<bool> condition) => UntilAsync(() => Task.FromResult(condition()));

    private static async Task UntilAsync(Func<Task<bool>> condition)
    {
        var waited = System.Diagnostics.Stopwatch.StartNew();
        while (!await condition())
        {
            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(30), "Waited in vain.");
            await Task.Delay(50, TestContext.Current.CancellationToken);
        }
    }

    // Between the two hosts nobody listens for a moment.
    private static async Task<Shown?> TryAsync(Browser browser, string path)
    {
        try
        {
            return await browser.LookAsync(path);
        }
        catch (HttpRequestException)
        {
            return null;
        }
    }
}

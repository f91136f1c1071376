using System.Collections.Concurrent;
using System.Diagnostics;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Packaging.Tests;

/// <summary>The compiled program, serving.</summary>
internal sealed class Serving : IAsyncDisposable
{
    private readonly Process process;
    private readonly ConcurrentQueue<string> log = new();

    private Serving(Process process, int port)
    {
        this.process = process;
        Address = new Uri($"http://127.0.0.1:{port}/");
        process.ErrorDataReceived += (_, line) => Note(line.Data);
        process.OutputDataReceived += (_, line) => Note(line.Data);
        process.BeginErrorReadLine();
        process.BeginOutputReadLine();
    }

    internal string Log => string.Join('\n', log);

    internal int Id => process.Id;

    internal Uri Address { get; }

    internal static Serving Start(string program, Morning morning)
    {
        int port = LoopbackMailServer.FreePort();
        return Start(program, ["serve", "--config", morning.Folder, "--listen", $"127.0.0.1:{port}", "--watch", "off"], port, morning.Surroundings);
    }

    internal static Serving Start(string program, string[] arguments, int port, IReadOnlyDictionary<string, string?>? surroundings = null)
    {
        var start = new ProcessStartInfo(program, arguments) { RedirectStandardError = true, RedirectStandardOutput = true };
        foreach ((string name, string? value) in surroundings ?? new Dictionary<string, string?>())
        {
            start.Environment[name] = value;
        }

        return new Serving(Process.Start(start)!, port);
    }

    /// <summary>Asks it to stop and waits.</summary>
    public async ValueTask DisposeAsync()
    {
        if (!process.HasExited)
        {
            // Behind unshare the program is the first process of its namespace, and a child.
            string children = $"/proc/{process.Id}/task/{process.Id}/children";
            string child = File.Exists(children) ? (await File.ReadAllTextAsync(children)).Trim() : string.Empty;
            Shell.Run("kill", "-TERM", child.Length > 0 ? child : process.Id.ToString(System.Globalization.CultureInfo.InvariantCulture));
            using var limit = new CancellationTokenSource(TimeSpan.FromSeconds(30));
            await process.WaitForExitAsync(limit.Token);
        }

        Assert.True(process.ExitCode == 0, $"ended with {process.ExitCode}:\n{Log}");
        process.Dispose();
    }

    private void Note(string? line)
    {
        if (line is not null)
        {
            log.Enqueue(line);
        }
    }
}

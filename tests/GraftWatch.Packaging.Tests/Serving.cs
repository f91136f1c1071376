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
        var start = new ProcessStartInfo(program, ["serve", "--config", morning.Folder, "--listen", $"127.0.0.1:{port}"])
        {
            RedirectStandardError = true,
            RedirectStandardOutput = true,
            WorkingDirectory = morning.Folder,
        };
        foreach ((string name, string? value) in morning.Surroundings)
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
            Shell.Run("kill", "-TERM", process.Id.ToString(System.Globalization.CultureInfo.InvariantCulture));
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

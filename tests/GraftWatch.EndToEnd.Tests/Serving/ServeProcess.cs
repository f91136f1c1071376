using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>The program itself, running <c>serve</c> as a process of its own that a test may freeze, thaw and kill.</summary>
internal sealed class ServeProcess : IAsyncDisposable
{
    private readonly Process process;
    private readonly ConcurrentQueue<string> log = new();

    private ServeProcess(Process process)
    {
        this.process = process;
        process.ErrorDataReceived += (_, line) => Note(line.Data);
        process.OutputDataReceived += (_, line) => Note(line.Data);
        process.BeginErrorReadLine();
        process.BeginOutputReadLine();
    }

    internal IReadOnlyCollection<string> Log => log;

    internal string AllLog => string.Join('\n', log);

    internal bool HasEnded => process.HasExited;

    internal int ExitCode => process.ExitCode;

    internal int Id => process.Id;

    /// <summary>Letters it says it sealed.</summary>
    internal int Sealed => log.Count(line => line.Contains("[1001]", StringComparison.Ordinal));

    /// <summary>Letters it says the mail server took from it.</summary>
    internal int Accepted => log.Count(line => line.Contains("[1003]", StringComparison.Ordinal));

    internal static ServeProcess Start(string folder, string watch = "off", IReadOnlyDictionary<string, string?>? environment = null, string listen = "off")
    {
        var start = new ProcessStartInfo(Path.Combine(AppContext.BaseDirectory, "graftwatch"))
        {
            RedirectStandardError = true,
            RedirectStandardOutput = true,
            WorkingDirectory = folder,
        };
        foreach (string argument in (string[])["serve", "--config", folder, "--listen", listen, "--watch", watch])
        {
            start.ArgumentList.Add(argument);
        }

        foreach ((string name, string? value) in environment ?? new Dictionary<string, string?>())
        {
            start.Environment[name] = value;
        }

        return new ServeProcess(Process.Start(start)!);
    }

    /// <summary>Waits until the log has a line with these words.</summary>
    internal async Task SaysAsync(string words, TimeSpan limit)
    {
        var waited = Stopwatch.StartNew();
        while (!log.Any(line => line.Contains(words, StringComparison.Ordinal)))
        {
            Assert.True(waited.Elapsed < limit && !process.HasExited, $"The program did not say \"{words}\":\n{AllLog}");
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }
    }

    internal void Freeze() => Signal("STOP");

    internal void Thaw() => Signal("CONT");

    /// <summary>As a power switch would: nothing is finished.</summary>
    internal void Kill() => process.Kill();

    /// <summary>As a power switch would; the process is gone when this ends.</summary>
    internal Task KillAsync()
    {
        process.Kill();
        return process.WaitForExitAsync().WaitAsync(TimeSpan.FromSeconds(60));
    }

    /// <summary>As a service manager would: the program may finish what it does.</summary>
    internal async Task<int> EndAsync()
    {
        Signal("TERM");
        await process.WaitForExitAsync().WaitAsync(TimeSpan.FromSeconds(60));
        return process.ExitCode;
    }

    public async ValueTask DisposeAsync()
    {
        if (!process.HasExited)
        {
            Signal("CONT");
            process.Kill();
        }

        await process.WaitForExitAsync();
        process.Dispose();
    }

    private void Note(string? line)
    {
        if (line is not null)
        {
            log.Enqueue(line);
        }
    }

    private void Signal(string signal)
    {
        if (!process.HasExited)
        {
            using Process kill = Process.Start("kill", ["-" + signal, process.Id.ToString(CultureInfo.InvariantCulture)]);
            kill.WaitForExit();
        }
    }
}

using System.Diagnostics;

namespace GraftWatch.Crash;

/// <summary>Starts this program again as the one that is killed.</summary>
public static class Child
{
    private const string Name = "GraftWatch.Crash";

    /// <summary>Starts a child; each line it says goes to <paramref name="hear"/>.</summary>
    public static Process Start(Action<string> hear, params string[] arguments)
    {
        // Published as one program it starts itself; run by the host or a test it is started by the host.
        string self = Environment.ProcessPath ?? string.Empty;
        bool published = Path.GetFileName(self) == Name;
        var start = new ProcessStartInfo(published || Path.GetFileName(self) == "dotnet" ? self : "dotnet")
        {
            RedirectStandardOutput = true,
            // The child reads until the end of its input and ends with it, so that a killed harness leaves nothing behind.
            RedirectStandardInput = true,
            UseShellExecute = false,
        };
        // A short life is no time to learn from.
        start.Environment["DOTNET_TieredPGO"] = "0";
        if (!published)
        {
            start.ArgumentList.Add(Path.Combine(AppContext.BaseDirectory, Name + ".dll"));
        }

        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        Process process = Process.Start(start)!;
        process.OutputDataReceived += (_, line) =>
        {
            if (line.Data is { } said)
            {
                hear(said);
            }
        };
        process.BeginOutputReadLine();
        return process;
    }

    /// <summary>Kills the child without a word and waits until all it said has been heard.</summary>
    public static async Task KillAsync(Process process)
    {
        process.Kill();
        await process.WaitForExitAsync();
        process.WaitForExit();
    }
}

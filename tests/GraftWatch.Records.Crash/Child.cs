using System.Diagnostics;

namespace GraftWatch.Records.Crash;

/// <summary>Starts this program again as the one that is killed.</summary>
public static class Child
{
    /// <summary>Starts a child; each line it says goes to <paramref name="hear"/>.</summary>
    public static Process Start(Action<string> hear, params string[] arguments)
    {
        var start = new ProcessStartInfo(Environment.ProcessPath is { } host && Path.GetFileNameWithoutExtension(host) == "dotnet" ? host : "dotnet")
        {
            RedirectStandardOutput = true,
            // The child reads until the end of its input and ends with it, so that a killed harness leaves nothing behind.
            RedirectStandardInput = true,
            UseShellExecute = false,
        };
        start.ArgumentList.Add(typeof(Child).Assembly.Location);
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

using System.Diagnostics;

namespace GraftWatch.EndToEnd.Tests.Checks;

/// <summary>Programs of the machine.</summary>
internal static class Shell
{
    internal static void Run(string program, params string[] arguments)
    {
        using Process process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true, RedirectStandardOutput = true })!;
        string words = process.StandardError.ReadToEnd() + process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, $"{program} {string.Join(' ', arguments)}: {words}");
    }
}

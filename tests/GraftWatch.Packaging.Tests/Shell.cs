using System.Diagnostics;
using System.Text;

namespace GraftWatch.Packaging.Tests;

/// <summary>Runs programs and keeps what they say.</summary>
internal static class Shell
{
    /// <summary>What a program ended with.</summary>
    internal sealed record Said(int Code, string Results, string Messages)
    {
        internal string All => Results + Messages;

        /// <summary>The results of a program that had to succeed.</summary>
        internal string Fine()
        {
            Assert.True(Code == 0, $"ended with {Code}:\n{Results}\n{Messages}");
            return Results;
        }
    }

    internal static bool Has(string program) => Find(program) is not null;

    /// <summary>Skips the calling test where a program is absent.</summary>
    internal static void OrSkip(string program, string package) =>
        Assert.SkipUnless(Has(program), $"{program} is not on this machine (Debian package {package}).");

    internal static bool IsRoot => OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess;

    internal static Said Run(string program, params string[] arguments) => RunIn(null, null, program, arguments);

    internal static Said RunIn(string? folder, IReadOnlyDictionary<string, string?>? environment, string program, params string[] arguments)
    {
        var start = new ProcessStartInfo(Find(program) ?? program, arguments)
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            RedirectStandardInput = true,
            StandardOutputEncoding = Encoding.UTF8,
            StandardErrorEncoding = Encoding.UTF8,
            WorkingDirectory = folder ?? Path.GetTempPath(),
        };
        foreach ((string name, string? value) in environment ?? new Dictionary<string, string?>())
        {
            start.Environment[name] = value;
        }

        using Process process = Process.Start(start)!;
        process.StandardInput.Close();
        Task<string> messages = process.StandardError.ReadToEndAsync();
        string results = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return new Said(process.ExitCode, results, messages.GetAwaiter().GetResult());
    }

    private static string? Find(string program) => program.Contains('/', StringComparison.Ordinal)
        ? (File.Exists(program) ? program : null)
        : ((Environment.GetEnvironmentVariable("PATH") ?? string.Empty) + ":/usr/sbin:/sbin").Split(':').Select(folder => Path.Combine(folder, program)).FirstOrDefault(File.Exists);
}

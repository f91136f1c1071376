using System.Diagnostics;
using GraftWatch.Testing;

namespace GraftWatch.Conventions.Tests;

/// <summary>A throw-away tree with the house rules of this one, to plant faults in.</summary>
internal sealed class ScratchTree : IDisposable
{
    public ScratchTree()
    {
        Root = Directory.CreateTempSubdirectory("graftwatch-scratch-").FullName;
        foreach (string file in (string[])["Directory.Build.props", "Directory.Build.targets", "Directory.Packages.props", ".editorconfig", "global.json", "src/Directory.Build.props", "src/BannedSymbols.PureCore.txt", "src/BannedSymbols.Shell.txt"])
        {
            string to = Path.Combine(Root, file);
            Directory.CreateDirectory(Path.GetDirectoryName(to)!);
            File.Copy(Repository.PathOf(file), to);
        }
    }

    public string Root { get; }

    public string Write(string relativePath, string text)
    {
        string path = Path.Combine(Root, relativePath);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        File.WriteAllText(path, text);
        return path;
    }

    public async Task<(int ExitCode, string Output)> DotnetAsync(params string[] arguments)
    {
        var start = new ProcessStartInfo("dotnet", arguments) { WorkingDirectory = Root, RedirectStandardOutput = true, RedirectStandardError = true };
        start.Environment["MSBUILDDISABLENODEREUSE"] = "1";
        start.Environment["DOTNET_CLI_UI_LANGUAGE"] = "en";
        foreach (string name in start.Environment.Keys.Where(k => k.StartsWith("MSBuild", StringComparison.Ordinal)).ToArray())
        {
            start.Environment.Remove(name);
        }

        using Process process = Process.Start(start)!;
        Task<string> output = process.StandardOutput.ReadToEndAsync();
        Task<string> errors = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return (process.ExitCode, await output + await errors);
    }

    public void Dispose() => Directory.Delete(Root, recursive: true);
}

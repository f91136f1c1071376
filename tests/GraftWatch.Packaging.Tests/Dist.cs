using System.Runtime.InteropServices;
using GraftWatch.Testing;

namespace GraftWatch.Packaging.Tests;

/// <summary>What <c>deploy/build</c> and its companions left in artifacts/dist; a test that needs a piece is skipped where it was not made.</summary>
internal static class Dist
{
    internal const string Absent = "Was not built here: run deploy/build and deploy/deb/build first.";

    internal static string Platform => RuntimeInformation.ProcessArchitecture == Architecture.Arm64 ? "linux-arm64" : "linux-x64";

    internal static string DebianArchitecture => Platform == "linux-arm64" ? "arm64" : "amd64";

    internal static string Version { get; } = typeof(CommandLine.ExitCode).Assembly.GetName().Version!.ToString(3);

    internal static string PathOf(params string[] parts) => Repository.PathOf(["artifacts", "dist", .. parts]);

    /// <summary>The compiled program.</summary>
    internal static string ProgramOrSkip() => OrSkip(PathOf(Platform, "graftwatch"));

    /// <summary>The Debian package for this machine.</summary>
    internal static string DebOrSkip() => OrSkip(PathOf($"graftwatch_{Version}_{DebianArchitecture}.deb"));

    internal static string OrSkip(string path)
    {
        Assert.SkipUnless(File.Exists(path), $"{Path.GetRelativePath(Repository.Root, path)}: {Absent}");
        return path;
    }
}

using System.Runtime.CompilerServices;

namespace GraftWatch.Testing;

/// <summary>Compares text with an approved copy beside the test, <c>approved/NAME.approved.txt</c>.</summary>
/// <remarks>On a difference the new text is written as <c>NAME.received.txt</c>; read it, and rename it when it is right.</remarks>
public static class Approved
{
    /// <summary>Fails unless <paramref name="actual"/> equals the approved text (line ends aside).</summary>
    public static void Text(string name, string actual, [CallerFilePath] string sourceFile = "")
    {
        string folder = Path.Combine(Path.GetDirectoryName(sourceFile)!, "approved");
        Directory.CreateDirectory(folder);
        string approvedPath = Path.Combine(folder, name + ".approved.txt");
        string receivedPath = Path.Combine(folder, name + ".received.txt");
        string wanted = File.Exists(approvedPath) ? Plain(File.ReadAllText(approvedPath)) : string.Empty;
        string got = Plain(actual);
        if (wanted == got && File.Exists(approvedPath))
        {
            File.Delete(receivedPath);
            return;
        }

        File.WriteAllText(receivedPath, got);
        Assert.Equal(wanted, got);
        Assert.Fail($"There is no approved text {name} yet; read {receivedPath}.");
    }

    private static string Plain(string text) => text.Replace("\r\n", "\n", StringComparison.Ordinal);
}

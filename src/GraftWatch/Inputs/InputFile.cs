using GraftWatch.CommandLine;

namespace GraftWatch.Inputs;

/// <summary>Reads what a user named on the command line; what keeps it from being read becomes a fault.</summary>
internal static class InputFile
{
    private const long MostBytes = 200L * 1024 * 1024;

    internal static ReadOnlyMemory<byte> Read(Terminal terminal, string path, List<string> faults)
    {
        try
        {
            var file = new FileInfo(terminal.PathOf(path));
            if (Directory.Exists(file.FullName))
            {
                faults.Add($"{path}: This is a folder. Name the file in it.");
                return default;
            }

            if (file.Exists && file.Length > MostBytes)
            {
                faults.Add($"{path}: The file is larger than {MostBytes / 1024 / 1024} MiB.");
                return default;
            }

            return File.ReadAllBytes(file.FullName);
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            faults.Add($"{path}: There is no such file.");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            faults.Add($"{path}: {e.Message}");
        }

        return default;
    }

    /// <summary>A folder the user named, made absolute; null when none was named.</summary>
    internal static string? Folder(Terminal terminal, string? path, List<string> faults)
    {
        if (path is null)
        {
            return null;
        }

        string full = terminal.PathOf(path);
        if (!Directory.Exists(full))
        {
            faults.Add($"--config {path}: There is no such folder.");
        }

        return full;
    }
}

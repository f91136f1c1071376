namespace GraftWatch.Settings.Live;

/// <summary>What the files of a settings folder hold at one moment; a file that is absent is null.</summary>
public sealed class FolderBytes
{
    private readonly IReadOnlyDictionary<string, byte[]?> files;

    /// <summary>Takes bytes from memory.</summary>
    public FolderBytes(string folder, IReadOnlyDictionary<string, byte[]?> files)
    {
        Folder = folder;
        this.files = files;
    }

    /// <summary>The folder.</summary>
    public string Folder { get; }

    /// <summary>The bytes of a file, or null when it is absent.</summary>
    public byte[]? this[string name] => files.GetValueOrDefault(name);

    /// <summary>Reads a folder; null when one of the files cannot be read just now, as while an editor saves it.</summary>
    public static FolderBytes? Read(string folder)
    {
        var files = new Dictionary<string, byte[]?>(StringComparer.Ordinal);
        foreach (string name in ShippedDefaults.Names)
        {
            try
            {
                files[name] = File.ReadAllBytes(Path.Combine(folder, name));
            }
            catch (Exception absent) when (absent is FileNotFoundException or DirectoryNotFoundException)
            {
                files[name] = null;
            }
            catch (Exception busy) when (busy is IOException or UnauthorizedAccessException)
            {
                return null;
            }
        }

        return new FolderBytes(folder, files);
    }

    /// <summary>The file as the loader takes it; the shipped copy when it is absent.</summary>
    internal SourceText Source(string name) => this[name] is { } bytes ? SourceText.FromMemory(Path.Combine(Folder, name), bytes) : SourceText.Shipped(name);

    internal bool Same(FolderBytes other, IEnumerable<string> names) => names.All(n => Same(this[n], other[n]));

    /// <summary>Names of files that were there before and are absent now.</summary>
    internal IEnumerable<string> GoneSince(FolderBytes before, IEnumerable<string> names) => names.Where(n => before[n] is not null && this[n] is null);

    /// <summary>Whether a file is the beginning of what it was before, or lost the end of its last line: most likely it is being written just now.</summary>
    internal bool LooksHalfWritten(FolderBytes before, IEnumerable<string> names) =>
        names.Any(n => before[n] is { } old && this[n] is { } now && LooksHalfWritten(old, now));

    private static bool LooksHalfWritten(byte[] old, byte[] now) =>
        (now.Length < old.Length && old.AsSpan().StartsWith(now)) || (old is [.., (byte)'\n'] && now is not [.., (byte)'\n']);

    private static bool Same(byte[]? left, byte[]? right) =>
        ReferenceEquals(left, right) || (left is not null && right is not null && left.AsSpan().SequenceEqual(right));
}

namespace GraftWatch.Settings.Live;

/// <summary>What the files of a settings folder hold at one moment; a file that is absent is null.</summary>
public sealed class FolderBytes
{
    private readonly string folder;
    private readonly Dictionary<string, SourceText?> files;

    private FolderBytes(string folder, Dictionary<string, SourceText?> files)
    {
        this.folder = folder;
        this.files = files;
    }

    /// <summary>Whether a file is there that could not be read.</summary>
    public bool IsUnread => files.Values.Any(file => file?.Trouble is not null);

    /// <summary>Takes bytes from memory.</summary>
    public static FolderBytes FromMemory(string folder, IReadOnlyDictionary<string, byte[]?> files) => new(
        folder,
        ShippedDefaults.Names.ToDictionary(name => name, name => files.GetValueOrDefault(name) is { } bytes ? SourceText.FromMemory(Path.Combine(folder, name), bytes) : null, StringComparer.Ordinal));

    /// <summary>Reads a folder.</summary>
    public static FolderBytes Read(string folder) => new(folder, ShippedDefaults.Names.ToDictionary(name => name, name => ReadFile(folder, name), StringComparer.Ordinal));

    /// <summary>Where a file of the folder lies.</summary>
    internal string PathOf(string name) => Path.Combine(folder, name);

    /// <summary>Reads what the files hold: whole and right, or every fault at once.</summary>
    internal (Loaded<Aftercare.Trade.Handbook> Handbook, Loaded<Installation.GraftWatchSettings> Installation) Load() => (
        SettingsLoader.ReadHandbook(new HandbookFiles(Source("species.toml"), Source("materials.toml"), Source("thresholds.toml"))),
        SettingsLoader.ReadGraftWatch(
            files[SettingsLoader.InstallationName] ?? SourceText.FromDisk(PathOf(SettingsLoader.InstallationName), SettingsLoader.InstallationName),
            Path.GetFullPath(folder),
            Source("species.toml")));

    /// <summary>The line of graftwatch.toml on which a value of <see cref="Effective.FlatSettings"/> stands; null when the file does not say it.</summary>
    internal int? LineOf(string path) => files[SettingsLoader.InstallationName] is { Trouble: null } file
        ? SettingLines.Find(Toml.TomlFile.Read(file.Bytes.Span, new Faults.FaultList(file.Name)), path)
        : null;

    /// <summary>Whether all files were read and hold the same.</summary>
    internal bool Same(FolderBytes other) => files.All(file => Same(file.Value, other.files[file.Key]));

    /// <summary>Names of files that were there before and are absent now.</summary>
    internal IEnumerable<string> GoneSince(FolderBytes before) => files.Keys.Where(name => before.files[name] is not null && files[name] is null);

    /// <summary>Whether a file is the beginning of what it was before, or lost the end of its last line: most likely it is being written just now.</summary>
    internal bool LooksHalfWritten(FolderBytes before) =>
        files.Any(file => before.files[file.Key] is { } old && file.Value is { } now && LooksHalfWritten(old.Bytes.Span, now.Bytes.Span));

    private static SourceText? ReadFile(string folder, string name)
    {
        string path = Path.Combine(folder, name);
        return File.Exists(path) ? SourceText.FromDisk(path, name) : null;
    }

    private static bool LooksHalfWritten(ReadOnlySpan<byte> old, ReadOnlySpan<byte> now) =>
        (now.Length < old.Length && old.StartsWith(now)) || (old is [.., (byte)'\n'] && now is not [.., (byte)'\n']);

    private static bool Same(SourceText? left, SourceText? right) =>
        ReferenceEquals(left, right) || (left is { Trouble: null } && right is { Trouble: null } && left.Bytes.Span.SequenceEqual(right.Bytes.Span));

    private SourceText Source(string name) => files[name] ?? SourceText.Shipped(name);
}

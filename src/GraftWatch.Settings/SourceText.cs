namespace GraftWatch.Settings;

/// <summary>The bytes of one file and what it is called in faults.</summary>
public sealed class SourceText
{
    private SourceText(string name, ReadOnlyMemory<byte> bytes, FileOrigin origin, string? trouble)
    {
        Name = name;
        Bytes = bytes;
        Origin = origin;
        Trouble = trouble;
    }

    /// <summary>Name as faults print it.</summary>
    public string Name { get; }

    /// <summary>The bytes; empty when the file could not be read.</summary>
    public ReadOnlyMemory<byte> Bytes { get; }

    /// <summary>Where it came from.</summary>
    public FileOrigin Origin { get; }

    /// <summary>Why it could not be read, or null.</summary>
    internal string? Trouble { get; }

    /// <summary>Bytes from memory, named as a file.</summary>
    public static SourceText FromMemory(string name, ReadOnlyMemory<byte> bytes) => new(name, bytes, new FileOrigin(System.IO.Path.GetFileName(name), name), null);

    /// <summary>The copy built into the program.</summary>
    public static SourceText Shipped(string name) => new(name + " (shipped)", ShippedDefaults.Read(name), new FileOrigin(name, null), null);

    /// <summary>A file on disk; what keeps it from being read becomes a fault, not an exception.</summary>
    public static SourceText FromDisk(string path, string name)
    {
        var origin = new FileOrigin(name, path);
        try
        {
            return new SourceText(path, File.ReadAllBytes(path), origin, null);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
        {
            string why = trouble switch
            {
                FileNotFoundException or DirectoryNotFoundException => "There is no such file.",
                UnauthorizedAccessException => "The file may not be read by this user.",
                _ => "The file cannot be read: " + trouble.Message,
            };
            return new SourceText(path, ReadOnlyMemory<byte>.Empty, origin, why);
        }
    }
}

/// <summary>The three files of the handbook.</summary>
/// <param name="Species">species.toml.</param>
/// <param name="Materials">materials.toml.</param>
/// <param name="Thresholds">thresholds.toml.</param>
public sealed record HandbookFiles(SourceText Species, SourceText Materials, SourceText Thresholds)
{
    /// <summary>The copies built into the program.</summary>
    public static HandbookFiles Shipped { get; } = new(SourceText.Shipped("species.toml"), SourceText.Shipped("materials.toml"), SourceText.Shipped("thresholds.toml"));

    /// <summary>Files of a folder; those it lacks are the shipped ones.</summary>
    public static HandbookFiles FromDisk(string? folder, string? thresholds = null) => new(
        From(folder, "species.toml"),
        From(folder, "materials.toml"),
        thresholds is null ? From(folder, "thresholds.toml") : SourceText.FromDisk(thresholds, "thresholds.toml"));

    private static SourceText From(string? folder, string name)
    {
        if (folder is null)
        {
            return SourceText.Shipped(name);
        }

        string path = Path.Combine(folder, name);
        return File.Exists(path) ? SourceText.FromDisk(path, name) : SourceText.Shipped(name);
    }
}

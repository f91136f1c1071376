namespace GraftWatch.Settings;

/// <summary>The files of config/ as they were built into the program.</summary>
public static class ShippedDefaults
{
    /// <summary>Names of the files.</summary>
    public static IReadOnlyList<string> Names { get; } = ["species.toml", "materials.toml", "thresholds.toml", "graftwatch.toml"];

    /// <summary>The bytes of one file.</summary>
    /// <exception cref="ArgumentException">There is no such file: a fault of the program.</exception>
    public static byte[] Read(string name)
    {
        using Stream stream = typeof(ShippedDefaults).Assembly.GetManifestResourceStream("config/" + name)
            ?? throw new ArgumentException($"No file named {name} was built in.", nameof(name));
        using var copy = new MemoryStream();
        stream.CopyTo(copy);
        return copy.ToArray();
    }
}

namespace GraftWatch.Testing;

/// <summary>Finds the measured weather that lives beside a checkout and is never part of it.</summary>
/// <remarks>
/// Looked for in the environment variable GRAFTWATCH_SHARED_DATA, then as <c>shared/data</c> beside the repository
/// or beside any folder above it. A test that needs it skips, with the reason, where it is absent.
/// </remarks>
public static class SharedData
{
    /// <summary>Why tests without the data are skipped.</summary>
    public const string AbsentReason = "Measured weather (shared/data beside the checkout, or GRAFTWATCH_SHARED_DATA) is not on this machine.";

    private static readonly string? Folder = Find();

    /// <summary>Whether the folder was found.</summary>
    public static bool IsPresent => Folder is not null;

    /// <summary>The six measured weather files in the open forecast API's shape, relative to the folder.</summary>
    public static IReadOnlyList<string> WeatherFiles { get; } =
    [
        "weather/orchard-massachusetts-2015-spring.json",
        "weather/orchard-massachusetts-2015-april-frost.json",
        "weather/basin-nevada-2015-spring.json",
        "weather/basin-nevada-2015-april-freeze.json",
        "weather/desert-california-2015-summer.json",
        "weather/desert-california-2015-heat.json",
    ];

    /// <summary>Full path of one file; skips the calling test where the data is absent.</summary>
    public static string PathOrSkip(string relativePath)
    {
        Assert.SkipUnless(IsPresent, AbsentReason);
        string path = Path.Combine(Folder!, relativePath);
        Assert.True(File.Exists(path), $"shared/data is there but lacks {relativePath}.");
        return path;
    }

    private static string? Find()
    {
        if (Environment.GetEnvironmentVariable("GRAFTWATCH_SHARED_DATA") is { Length: > 0 } named)
        {
            return Directory.Exists(named) ? named : null;
        }

        for (DirectoryInfo? at = new(Repository.Root); at is not null; at = at.Parent)
        {
            string beside = Path.Combine(at.FullName, "shared", "data");
            if (Directory.Exists(beside))
            {
                return beside;
            }
        }

        return null;
    }
}

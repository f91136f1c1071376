using System.Runtime.CompilerServices;

namespace GraftWatch.Testing;

/// <summary>Paths inside the checkout the tests were built from.</summary>
public static class Repository
{
    /// <summary>The folder that holds GraftWatch.sln.</summary>
    public static string Root { get; } = FindRoot();

    /// <summary>Full path of a file or folder of the checkout.</summary>
    public static string PathOf(params string[] parts) => Path.Combine([Root, .. parts]);

    /// <summary>Folder of the calling source file.</summary>
    public static string FolderOf([CallerFilePath] string sourceFile = "") => Path.GetDirectoryName(sourceFile)!;

    private static string FindRoot()
    {
        for (DirectoryInfo? at = new(AppContext.BaseDirectory); at is not null; at = at.Parent)
        {
            if (File.Exists(Path.Combine(at.FullName, "GraftWatch.sln")))
            {
                return at.FullName;
            }
        }

        throw new InvalidOperationException("The tests run outside a checkout: no GraftWatch.sln above " + AppContext.BaseDirectory);
    }
}

using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace GraftWatch.Records.Engine;

/// <summary>One numbered step of the schema.</summary>
/// <param name="Number">From 1, without gaps.</param>
/// <param name="Name">Words of the file name.</param>
/// <param name="Statements">In order; a statement ends with a semicolon at the end of a line.</param>
/// <param name="Hash">SHA-256 of the text, hex.</param>
internal sealed record Migration(int Number, string Name, IReadOnlyList<string> Statements, string Hash)
{
    /// <summary>The steps shipped with this program for one engine, in order.</summary>
    public static IReadOnlyList<Migration> Shipped(string engine)
    {
        string prefix = engine + "/";
        return typeof(Migration).Assembly.GetManifestResourceNames()
            .Select(name => name.Replace('\\', '/'))
            .Where(name => name.StartsWith(prefix, StringComparison.Ordinal))
            .Order(StringComparer.Ordinal)
            .Select(name => Parse(name[prefix.Length..], Read(name)))
            .ToArray();
    }

    public static Migration Parse(string fileName, string text)
    {
        string plain = text.Replace("\r\n", "\n", StringComparison.Ordinal);
        int number = int.Parse(fileName.AsSpan(0, 4), NumberStyles.None, CultureInfo.InvariantCulture);
        string hash = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(plain)));
        return new Migration(number, Path.GetFileNameWithoutExtension(fileName)[5..], Split(plain), hash);
    }

    private static List<string> Split(string text)
    {
        var statements = new List<string>();
        var statement = new StringBuilder();
        foreach (string line in text.Split('\n'))
        {
            if (line.StartsWith("--", StringComparison.Ordinal) || line.Length == 0)
            {
                continue;
            }

            statement.Append(line).Append('\n');
            if (line.EndsWith(';'))
            {
                statements.Add(statement.ToString());
                statement.Clear();
            }
        }

        return statement.Length == 0 ? statements : throw new FormatException("The last statement of a migration lacks its semicolon.");
    }

    private static string Read(string name)
    {
        using Stream stream = typeof(Migration).Assembly.GetManifestResourceStream(name)
            ?? typeof(Migration).Assembly.GetManifestResourceStream(name.Replace('/', '\\'))!;
        using var reader = new StreamReader(stream, Encoding.UTF8);
        return reader.ReadToEnd();
    }
}

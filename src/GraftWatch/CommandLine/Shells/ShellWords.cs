namespace GraftWatch.CommandLine.Shells;

/// <summary>Words and descriptions as shells take them.</summary>
internal static class ShellWords
{
    private static readonly string[] Ends = [". ", "; "];

    /// <summary>A text between single quotes, for any shell of the Bourne family.</summary>
    internal static string Quoted(string text) => "'" + text.Replace("'", "'\\''", StringComparison.Ordinal) + "'";

    /// <summary>The first statement of a description: short enough for a list.</summary>
    internal static string Short(string description)
    {
        string line = description.ReplaceLineEndings(" ");
        int end = Ends.Select(mark => line.IndexOf(mark, StringComparison.Ordinal)).Where(at => at > 0).DefaultIfEmpty(line.Length).Min();
        return line[..end].TrimEnd('.');
    }
}

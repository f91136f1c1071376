using System.Text.RegularExpressions;
using GraftWatch.Settings.Faults;
using Tomlyn.Syntax;

namespace GraftWatch.Settings.Toml;

/// <summary>Words the parser's findings for people who write values, not grammars.</summary>
internal static partial class SyntaxFaults
{
    internal static void Collect(DocumentSyntax document, string text, FaultList faults)
    {
        string[] lines = text.Split('\n');
        foreach (DiagnosticMessage message in document.Diagnostics.OrderBy(d => d.Span.Start.Line).ThenBy(d => d.Span.Start.Column))
        {
            int line = message.Span.Start.Line + 1;
            int column = message.Span.Start.Column + 1;
            string content = line <= lines.Length ? lines[line - 1].TrimEnd('\r') : string.Empty;
            if (message.Message.Contains("Invalid newline in a string", StringComparison.Ordinal)
                || message.Message.Contains("Invalid End-Of-File found on string", StringComparison.Ordinal))
            {
                // Everything after an open quote is swallowed by it; further findings would be about nothing.
                faults.AddSyntax(line, column, "A quote is opened and not closed on this line.", "Close it with the same sign.", QuotedExample(content));
                faults.SilenceAfter(line);
                return;
            }

            Add(message.Message, content, line, column, faults);
        }
    }

    private static void Add(string message, string content, int line, int column, FaultList faults)
    {
        if (Redefined().Match(message) is { Success: true } twice)
        {
            faults.AddSyntax(line, column, $"{twice.Groups["key"].Value} is there twice; first on line {twice.Groups["line"].Value}.", "Keep one of the two.");
        }
        else if (CommaNumber().Match(content) is { Success: true } comma)
        {
            faults.AddSyntax(line, column, $"'{comma.Groups["number"].Value}' has a comma in the number.", "Write a point as the decimal mark, and the value with its unit in quotes.", $"{comma.Groups["key"].Value.Trim()} = \"{comma.Groups["number"].Value.Replace(',', '.')}{UnitTail(comma)}\"");
        }
        else if (Unquoted().Match(content) is { Success: true } bare)
        {
            faults.AddSyntax(line, column, "A value with a unit, or a word, needs quotes around it.", string.Empty, $"{bare.Groups["key"].Value.Trim()} = \"{bare.Groups["value"].Value.Trim()}\"");
        }
        else if (NoValue().Match(content) is { Success: true } empty)
        {
            faults.AddSyntax(line, column, $"{empty.Groups["key"].Value.Trim()} has no value.", "Write a value after the equals sign, or take the line out.");
        }
        else
        {
            faults.AddSyntax(line, column, Plain(message));
        }
    }

    private static string UnitTail(Match comma)
    {
        string rest = comma.Groups["rest"].Value.Trim().Trim('"');
        return rest.Length > 0 ? " " + rest : string.Empty;
    }

    private static string QuotedExample(string content)
    {
        int equals = content.IndexOf('=', StringComparison.Ordinal);
        if (equals <= 0)
        {
            return string.Empty;
        }

        string value = content[(equals + 1)..].Trim().Trim('"', '\'').Trim();
        return value.Length is 0 or > 60 ? string.Empty : $"{content[..equals].Trim()} = \"{value}\"";
    }

    private static string Plain(string message)
    {
        string oneLine = message.Replace('\u2424', ' ').Replace('\n', ' ').Replace('\r', ' ').Trim();
        return (oneLine.Length > 200 ? oneLine[..200] + "…" : oneLine).TrimEnd('.') + ".";
    }

    [GeneratedRegex(@"^The key `(?<key>[^`]{1,200})` is already defined at \((?<line>\d+),", RegexOptions.CultureInvariant)]
    private static partial Regex Redefined();

    [GeneratedRegex(@"^(?<key>[^=#]{1,200})=\s*(?<number>[+-]?\d+,\d+)(?<rest>[^#,\]]{0,40})", RegexOptions.CultureInvariant)]
    private static partial Regex CommaNumber();

    [GeneratedRegex(@"^(?<key>[^=#""']{1,200})=\s*(?<value>[^""'#\[\{=\s][^""'#=\[\]\{\}]{0,60})$", RegexOptions.CultureInvariant)]
    private static partial Regex Unquoted();

    [GeneratedRegex(@"^(?<key>[^=#]{1,200})=\s*(#.*)?$", RegexOptions.CultureInvariant)]
    private static partial Regex NoValue();
}

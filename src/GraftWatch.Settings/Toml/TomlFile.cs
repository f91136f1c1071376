using System.Globalization;
using System.Text;
using GraftWatch.Settings.Faults;
using Tomlyn;
using Tomlyn.Parsing;
using Tomlyn.Syntax;

namespace GraftWatch.Settings.Toml;

/// <summary>Turns bytes into a tree of tables that remember their lines.</summary>
/// <remarks>
/// The parser's own mapping to objects accepts the same key twice and forgets lines; its syntax tree with validation does neither.
/// </remarks>
internal static class TomlFile
{
    private const int MostBytes = 2_000_000;
    private const int MostLinesTried = 5_000;

    internal static TomlTable Read(ReadOnlySpan<byte> bytes, FaultList faults)
    {
        if (bytes.Length > MostBytes)
        {
            faults.Add(0, 0, string.Empty, $"The file is larger than {MostBytes / 1_000_000} MB.", "Settings are a few kilobytes; is this the right file?");
            return new TomlTable(1, 1);
        }

        return Decode(bytes, faults) is { } text ? Read(text, faults) : new TomlTable(1, 1);
    }

    internal static TomlTable Read(string text, FaultList faults)
    {
        DocumentSyntax document;
        try
        {
            document = SyntaxParser.Parse(text, faults.File, validate: true);
        }
        catch (TomlException broken)
        {
            faults.AddSyntax(broken.Line ?? 1, broken.Column ?? 1, FirstLine(broken.Message));
            return new TomlTable(1, 1);
        }
        catch (Exception unforeseen) when (IsOfTheParser(unforeseen))
        {
            faults.AddSyntax(LineAtFault(text), 1, "This line cannot be read: " + FirstLine(unforeseen.Message).TrimEnd('.') + ".", "Is there a backslash that should be two?");
            return new TomlTable(1, 1);
        }

        SyntaxFaults.Collect(document, text, faults);
        return new TomlTreeBuilder(faults).Build(document);
    }

    private static string? Decode(ReadOnlySpan<byte> bytes, FaultList faults)
    {
        if (bytes.StartsWith(Encoding.UTF8.Preamble))
        {
            bytes = bytes[Encoding.UTF8.Preamble.Length..];
        }

        try
        {
            return new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(bytes);
        }
        catch (DecoderFallbackException broken)
        {
            int at = Math.Clamp(broken.Index, 0, bytes.Length);
            int line = 1 + bytes[..at].Count((byte)'\n');
            int column = at - (bytes[..at].LastIndexOf((byte)'\n') + 1) + 1;
            string shown = broken.BytesUnknown is [var first, ..] ? string.Create(CultureInfo.InvariantCulture, $"byte 0x{first:X2}") : "a byte";
            faults.AddSyntax(line, column, $"The file is not UTF-8: {shown} is no character there.", "Save the file as UTF-8; signs such as ° are often where an older encoding shows.");
            return null;
        }
    }

    // Some escapes, such as half of a surrogate pair, make the parser throw where it should report.
    private static bool IsOfTheParser(Exception thrown) => thrown is ArgumentException or FormatException or InvalidOperationException or IndexOutOfRangeException or OverflowException;

    private static int LineAtFault(string text)
    {
        int number = 0;
        foreach (string line in text.Split('\n').Take(MostLinesTried))
        {
            number++;
            try
            {
                SyntaxParser.Parse(line, validate: true);
            }
            catch (Exception thrown) when (thrown is TomlException || IsOfTheParser(thrown))
            {
                return number;
            }
        }

        return 1;
    }

    private static string FirstLine(string message) => message.Split('\n')[0].Trim();
}

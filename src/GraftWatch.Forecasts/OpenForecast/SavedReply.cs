using System.Globalization;
using System.Text;
using System.Text.Json;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Reads replies of the open forecast API exactly as it writes them; never throws, whatever the bytes.</summary>
/// <remarks>
/// One object or a list of locations; unix or ISO stamps (with the reply's own UTC offset); any unit the API offers; today's and
/// the older column names; nulls, whole columns of nulls with the unit <c>undefined</c>, and columns we do not know. Hours need not be
/// complete: an hour that is left out becomes a gap. Hours that go backwards or stand twice are refused, also when both say
/// the same, because a reply that repeats itself is damaged in ways that do not show.
/// </remarks>
public static class SavedReply
{
    private const string StreamingFault = "Unexpected error while streaming data";

    /// <summary>Reads a reply.</summary>
    /// <param name="json">The bytes as they came; a UTF-8 byte order mark is passed over.</param>
    /// <param name="name">What to call the reply in sentences, such as its file name.</param>
    /// <param name="startOfForecast">Hours that end at or before it get <paramref name="pastOrigin"/>, later ones count as forecast; null: all forecast.</param>
    /// <param name="pastOrigin">Origin of the past hours.</param>
    public static SavedReplyResult Parse(
        ReadOnlyMemory<byte> json, string name, Instant? startOfForecast, WeatherOrigin pastOrigin = WeatherOrigin.Analysed) =>
        Parse(json, new ReplyReading { Name = name, StartOfForecast = startOfForecast, PastOrigin = pastOrigin });

    internal static SavedReplyResult Parse(ReadOnlyMemory<byte> json, ReplyReading reading)
    {
        ReadOnlySpan<byte> bytes = json.Span;
        if (bytes.StartsWith(Encoding.UTF8.Preamble))
        {
            bytes = bytes[Encoding.UTF8.Preamble.Length..];
        }

        if (FaultOfWhole(bytes, reading) is { } fault)
        {
            return new SavedReplyResult([], [fault]);
        }

        var locations = new List<ReplyLocation>();
        var faults = new List<string>();
        var reader = new ReplyReader(bytes, reading);
        try
        {
            reader.ReadAll(locations, faults);
            return new SavedReplyResult(locations, faults);
        }
        catch (JsonException)
        {
            return new SavedReplyResult([], [FaultOfText(bytes, reader.Position, reading.Name)]);
        }
        catch (InvalidOperationException)
        {
            return new SavedReplyResult([], [$"{reading.Name} holds text that is not UTF-8 near byte {Number(reader.Position)}; fetch it again."]);
        }
    }

    private static string? FaultOfWhole(ReadOnlySpan<byte> bytes, ReplyReading reading)
    {
        string name = reading.Name;
        int first = NumberScan.SkipBlank(bytes, 0);
        if (first == bytes.Length)
        {
            return $"{name} is empty; fetch it again, and check that latitude and longitude are spelt right in the request.";
        }

        if (bytes.Length > reading.MostBytes)
        {
            return $"{name} is {Number(bytes.Length)} bytes long, more than the {Number(reading.MostBytes)} that are read; ask for fewer days or places.";
        }

        return bytes[first] switch
        {
            (byte)'<' => $"{name} is a web page (HTML), not weather{Title(bytes)}; the server or a proxy had trouble, fetch it again.",
            0x1F => $"{name} is compressed (gzip); unpack it first.",
            0xFF or 0xFE or 0 => $"{name} is not UTF-8 text; save the reply as it came, without converting it.",
            _ => null,
        };
    }

    private static string FaultOfText(ReadOnlySpan<byte> bytes, long position, string name)
    {
        // The API announces a failure after it began to write by a line of text behind the unfinished JSON.
        int streaming = bytes.LastIndexOf(Encoding.UTF8.GetBytes(StreamingFault));
        if (streaming >= 0)
        {
            return $"{name} breaks off: the server says \"{Excerpt(bytes[streaming..])}\"; fetch it again.";
        }

        ReadOnlySpan<byte> rest = bytes[(int)Math.Min(position, bytes.Length)..];
        int next = NumberScan.SkipBlank(rest, 0);
        rest = rest[next..];
        if (rest.IsEmpty || LooksCutOff(bytes))
        {
            return $"{name} is cut off after {Number(bytes.Length)} bytes; fetch it again and save all of it.";
        }

        int separators = rest.IndexOfAnyExcept(", :-["u8);
        ReadOnlySpan<byte> word = separators < 0 ? rest : rest[separators..];
        int letters = 0;
        while (letters < word.Length && char.IsAsciiLetter((char)word[letters]))
        {
            letters++;
        }

        word = word[..letters];
        return word.SequenceEqual("NaN"u8) || word.SequenceEqual("nan"u8) || word.SequenceEqual("Infinity"u8)
            ? $"{name} holds the word {Excerpt(word)} near byte {Number(position)}, where JSON wants a number or null; the program that wrote it is at fault."
            : $"{name} is not valid JSON near byte {Number(position)} (\"{Excerpt(rest)}\"); fetch it again.";
    }

    private static bool LooksCutOff(ReadOnlySpan<byte> bytes)
    {
        ReadOnlySpan<byte> end = bytes.TrimEnd(" \t\r\n"u8);
        return end[^1] is not ((byte)'}' or (byte)']') && end.LastIndexOf((byte)'}') < end.LastIndexOfAny((byte)'[', (byte)'{');
    }

    private static string Title(ReadOnlySpan<byte> html)
    {
        int start = html.IndexOf("<title>"u8);
        int end = html.IndexOf("</title>"u8);
        return start >= 0 && end > start ? $" (\"{Excerpt(html[(start + 7)..end])}\")" : string.Empty;
    }

    private static string Excerpt(ReadOnlySpan<byte> bytes)
    {
        string text = Encoding.UTF8.GetString(bytes[..Math.Min(bytes.Length, 120)]);
        var plain = new StringBuilder(text.Length);
        foreach (char c in text.AsSpan(0, Math.Min(text.Length, 80)))
        {
            plain.Append(char.IsControl(c) || char.IsSurrogate(c) ? ' ' : c);
        }

        return plain.ToString().Trim();
    }

    private static string Number(long value) => value.ToString("N0", CultureInfo.InvariantCulture);
}

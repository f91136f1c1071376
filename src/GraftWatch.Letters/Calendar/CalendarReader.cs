using System.Globalization;
using System.Text;
using GraftWatch.Rounds.Ports;
using MimeKit;
using NodaTime.Text;

namespace GraftWatch.Letters.Calendar;

/// <summary>Reads back the calendar part of our own letters, so that the ledger alone tells what calendars were told.</summary>
public static class CalendarReader
{
    private static readonly InstantPattern Stamp = InstantPattern.CreateWithInvariantCulture("uuuuMMdd'T'HHmmss'Z'");
    private static readonly LocalDatePattern Date = LocalDatePattern.CreateWithInvariantCulture("uuuuMMdd");

    /// <summary>The tasks a sealed letter carries; none when it has no calendar part or it cannot be read.</summary>
    public static IReadOnlyList<CalendarTask> Of(SealedLetter letter)
    {
        ArgumentNullException.ThrowIfNull(letter);
        try
        {
            using var message = MimeMessage.Load(new MemoryStream(letter.Bytes.ToArray(), writable: false));
            return message.BodyParts.OfType<TextPart>().FirstOrDefault(p => p.ContentType.IsMimeType("text", "calendar")) is { } part ? Read(part.GetText(Encoding.UTF8)) : [];
        }
        catch (FormatException)
        {
            return [];
        }
    }

    /// <summary>Reads what <see cref="CalendarWriter"/> wrote; an event that lacks something is left out.</summary>
    public static IReadOnlyList<CalendarTask> Read(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var tasks = new List<CalendarTask>();
        Dictionary<string, string>? fields = null;
        foreach (string line in text.Replace("\r\n", "\n", StringComparison.Ordinal).Replace("\n ", string.Empty, StringComparison.Ordinal).Split('\n'))
        {
            int colon = line.IndexOf(':', StringComparison.Ordinal);
            switch (line)
            {
                case "BEGIN:VEVENT":
                    fields = new(StringComparer.Ordinal);
                    break;
                case "END:VEVENT" when fields is not null:
                    if (Task(fields) is { } task)
                    {
                        tasks.Add(task);
                    }

                    fields = null;
                    break;
                default:
                    if (colon > 0)
                    {
                        fields?.TryAdd(line[..colon], Unescape(line[(colon + 1)..]));
                    }

                    break;
            }
        }

        return [.. tasks.DistinctBy(t => t.Uid)];
    }

    private static CalendarTask? Task(Dictionary<string, string> fields)
    {
        string Get(string name) => fields.GetValueOrDefault(name, string.Empty);
        return Get("UID") is { Length: > 0 } uid
            && int.TryParse(Get("SEQUENCE"), NumberStyles.None, CultureInfo.InvariantCulture, out int sequence)
            && Stamp.Parse(Get("DTSTAMP")) is { Success: true } changed
            && Span(fields) is { } span
            ? new CalendarTask(uid, sequence, Get("STATUS") == "CANCELLED", changed.Value, span, Get("SUMMARY"), Get("DESCRIPTION"), Get("LOCATION"))
            : null;
    }

    private static CalendarSpan? Span(Dictionary<string, string> fields)
    {
        if (fields.TryGetValue("DTSTART;VALUE=DATE", out string? firstDay) && fields.TryGetValue("DTEND;VALUE=DATE", out string? dayAfter))
        {
            return Date.Parse(firstDay) is { Success: true } first && Date.Parse(dayAfter) is { Success: true } after
                ? new CalendarSpan.Days(first.Value, after.Value.PlusDays(-1))
                : null;
        }

        return fields.TryGetValue("DTSTART", out string? start) && fields.TryGetValue("DTEND", out string? end)
            && Stamp.Parse(start) is { Success: true } from && Stamp.Parse(end) is { Success: true } until
            ? new CalendarSpan.Hours(from.Value, until.Value)
            : null;
    }

    private static string Unescape(string words)
    {
        var text = new StringBuilder(words.Length);
        for (int i = 0; i < words.Length; i++)
        {
            if (words[i] == '\\' && i + 1 < words.Length)
            {
                i++;
                text.Append(words[i] is 'n' or 'N' ? '\n' : words[i]);
            }
            else
            {
                text.Append(words[i]);
            }
        }

        return text.ToString();
    }
}

using System.Globalization;
using System.Text;
using NodaTime.Text;

namespace GraftWatch.Letters.Calendar;

/// <summary>Writes iCalendar (RFC 5545): CRLF, lines of at most 75 octets folded between characters, text escaped.</summary>
public static class CalendarWriter
{
    private const int LineOctets = 75;
    private static readonly InstantPattern Stamp = InstantPattern.CreateWithInvariantCulture("uuuuMMdd'T'HHmmss'Z'");
    private static readonly LocalDatePattern Date = LocalDatePattern.CreateWithInvariantCulture("uuuuMMdd");

    /// <summary>The part of a letter; published, so it carries its organizer (RFC 5546, 3.2.1).</summary>
    /// <param name="tasks">What calendars should know.</param>
    /// <param name="organizer">Sender's mail address.</param>
    public static string Part(IReadOnlyList<CalendarTask> tasks, string organizer) => Write(tasks, organizer, feedName: null);

    /// <summary>The feed a calendar program fetches by itself.</summary>
    /// <param name="tasks">What calendars should know.</param>
    /// <param name="name">Name of the calendar.</param>
    public static string Feed(IReadOnlyList<CalendarTask> tasks, string name) => Write(tasks, organizer: null, name);

    private static string Write(IReadOnlyList<CalendarTask> tasks, string? organizer, string? feedName)
    {
        ArgumentNullException.ThrowIfNull(tasks);
        var text = new StringBuilder();
        Line(text, "BEGIN:VCALENDAR");
        Line(text, "VERSION:2.0");
        Line(text, "PRODID:-//GraftWatch//Letters 1//EN");
        Line(text, "CALSCALE:GREGORIAN");
        if (organizer is not null)
        {
            Line(text, "METHOD:PUBLISH");
        }

        if (feedName is not null)
        {
            // RFC 7986; the X- name is what older readers know.
            Line(text, "NAME:" + Escape(feedName));
            Line(text, "X-WR-CALNAME:" + Escape(feedName));
            Line(text, "REFRESH-INTERVAL;VALUE=DURATION:PT6H");
        }

        foreach (CalendarTask task in tasks)
        {
            Event(text, task, organizer);
        }

        Line(text, "END:VCALENDAR");
        return text.ToString();
    }

    private static void Event(StringBuilder text, CalendarTask task, string? organizer)
    {
        Line(text, "BEGIN:VEVENT");
        Line(text, "UID:" + Escape(task.Uid));
        Line(text, "DTSTAMP:" + Stamp.Format(task.Changed));
        Line(text, "LAST-MODIFIED:" + Stamp.Format(task.Changed));
        Line(text, string.Create(CultureInfo.InvariantCulture, $"SEQUENCE:{task.Sequence}"));
        switch (task.Span)
        {
            case CalendarSpan.Days days:
                Line(text, "DTSTART;VALUE=DATE:" + Date.Format(days.First));
                Line(text, "DTEND;VALUE=DATE:" + Date.Format(days.Last.PlusDays(1)));
                break;
            case CalendarSpan.Hours hours:
                Line(text, "DTSTART:" + Stamp.Format(hours.From));
                Line(text, "DTEND:" + Stamp.Format(hours.Until));
                break;
        }

        Line(text, "SUMMARY:" + Escape(task.Summary));
        Line(text, "DESCRIPTION:" + Escape(task.Description));
        Line(text, "LOCATION:" + Escape(task.Location));
        Line(text, "STATUS:" + (task.IsCancelled ? "CANCELLED" : "CONFIRMED"));
        Line(text, "TRANSP:TRANSPARENT");
        if (organizer is not null)
        {
            Line(text, "ORGANIZER:mailto:" + organizer);
        }

        Line(text, "END:VEVENT");
    }

    /// <summary>RFC 5545, 3.3.11: backslash, semicolon, comma and line end are escaped; other controls may not stand in text.</summary>
    private static string Escape(string words)
    {
        var text = new StringBuilder(words.Length + 8);
        foreach (char c in words)
        {
            _ = c switch
            {
                '\\' or ';' or ',' => text.Append('\\').Append(c),
                '\n' => text.Append("\\n"),
                _ when char.IsControl(c) => text,
                _ => text.Append(c),
            };
        }

        return text.ToString();
    }

    private static void Line(StringBuilder text, string line)
    {
        int room = LineOctets;
        foreach (Rune rune in line.EnumerateRunes())
        {
            if (rune.Utf8SequenceLength > room)
            {
                text.Append("\r\n ");
                room = LineOctets - 1;
            }

            text.Append(rune.ToString());
            room -= rune.Utf8SequenceLength;
        }

        text.Append("\r\n");
    }
}

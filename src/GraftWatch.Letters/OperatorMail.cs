using System.Globalization;
using System.Text;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using MimeKit;
using MimeKit.Text;
using NodaTime;

namespace GraftWatch.Letters;

/// <summary>The plain mail that tells who runs the program what is amiss.</summary>
public static class OperatorMail
{
    private const int LongestSentence = 600;

    private static readonly FormatOptions Rfc5322 = new() { NewLineFormat = NewLineFormat.Dos, EnsureNewLine = true, International = false };

    /// <summary>Composes and seals.</summary>
    /// <param name="options">Sender.</param>
    /// <param name="slot">Its slot.</param>
    /// <param name="number">Its running number.</param>
    /// <param name="address">Where to.</param>
    /// <param name="news">What is new, a sentence each; at least one.</param>
    /// <param name="known">What was told before and is still so.</param>
    /// <param name="now">The instant of the run.</param>
    /// <exception cref="ArgumentException">The address cannot be used; the message says why.</exception>
    public static SealedLetter Compose(MailOptions options, LetterSlot slot, int number, string address, IReadOnlyList<string> news, IReadOnlyList<string> known, Instant now)
    {
        ArgumentNullException.ThrowIfNull(options);
        ArgumentNullException.ThrowIfNull(slot);
        ArgumentNullException.ThrowIfNull(news);
        ArgumentNullException.ThrowIfNull(known);
        if (MailAddresses.Check(address) is { } fault)
        {
            throw new ArgumentException($"The operator cannot be told. {fault}", nameof(address));
        }

        string id = SlotIds.Of(slot, options.From) + "@" + options.Domain;
        string subject = news.Count == 1 ? "GraftWatch needs you: " + PlainWords.OneLine(news[0], 60) : string.Create(CultureInfo.InvariantCulture, $"GraftWatch needs you: {news.Count} matters");
        using var message = new MimeMessage();
        message.Headers.Clear();
        message.From.Add(new MailboxAddress(Encoding.UTF8, PlainWords.Name(options.FromName), options.From));
        message.To.Add(new MailboxAddress(Encoding.UTF8, string.Empty, address));
        message.Subject = subject;
        message.Date = now.ToDateTimeOffset();
        message.MessageId = id;
        message.MimeVersion = new Version(1, 0);
        message.Headers.Add("Auto-Submitted", "auto-generated");
        message.Headers.Add("X-Auto-Response-Suppress", "All");
        message.Headers.Add(HeaderId.ContentLanguage, "en");
        var body = new TextPart(TextFormat.Plain) { ContentTransferEncoding = ContentEncoding.QuotedPrintable };
        body.SetText(Encoding.UTF8, Text(news, known));
        message.Body = body;
        using var bytes = new MemoryStream();
        message.WriteTo(Rfc5322, bytes);
        return new SealedLetter(slot, number, id, address, subject, bytes.ToArray(), now);
    }

    private static string Text(IReadOnlyList<string> news, IReadOnlyList<string> known)
    {
        var text = new StringBuilder();
        Lines(text, news);
        if (known.Count > 0)
        {
            text.Append("\r\nTold before and still so:\r\n\r\n");
            Lines(text, known);
        }

        return text.Append("\r\nGraftWatch writes to you at most once an hour and six times a day. The health\r\npage of the program shows the same.\r\n").ToString();
    }

    private static void Lines(StringBuilder text, IReadOnlyList<string> sentences)
    {
        foreach (string sentence in sentences)
        {
            text.Append("- ").Append(PlainWords.OneLine(sentence, LongestSentence)).Append("\r\n");
        }
    }
}

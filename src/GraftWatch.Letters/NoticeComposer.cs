using System.Security.Cryptography;
using System.Text;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using MimeKit;
using MimeKit.Text;
using NodaTime;

namespace GraftWatch.Letters;

/// <summary>Composes short plain-text mails about the reader's own account, such as the link that signs in.</summary>
/// <param name="options">Sender.</param>
public sealed class NoticeComposer(MailOptions options)
{
    private static readonly FormatOptions Rfc5322 = new() { NewLineFormat = NewLineFormat.Dos, EnsureNewLine = true, International = false, ParameterEncodingMethod = ParameterEncodingMethod.Rfc2231 };

    /// <summary>Composes and seals.</summary>
    /// <param name="address">To whom.</param>
    /// <param name="subject">Subject.</param>
    /// <param name="text">The text; lines end with a line feed.</param>
    /// <param name="language">Tag of its language.</param>
    /// <param name="now">The instant; becomes the date.</param>
    /// <param name="usefulUntil">From when it is not worth sending.</param>
    /// <exception cref="ArgumentException">The address cannot be used.</exception>
    public PageMail Compose(string address, string subject, string text, string language, Instant now, Instant usefulUntil)
    {
        ArgumentNullException.ThrowIfNull(subject);
        ArgumentNullException.ThrowIfNull(text);
        if (MailAddresses.Check(address) is { } fault)
        {
            throw new ArgumentException(fault, nameof(address));
        }

        string id = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(15)) + "@" + options.Domain;
        using var message = new MimeMessage();
        message.Headers.Clear();
        message.From.Add(new MailboxAddress(Encoding.UTF8, PlainWords.Name(options.FromName), options.From));
        message.To.Add(new MailboxAddress(string.Empty, address));
        message.Subject = PlainWords.Sentence(subject);
        message.Date = now.InUtc().ToDateTimeOffset();
        message.MessageId = id;
        message.MimeVersion = new Version(1, 0);
        message.Headers.Add("Auto-Submitted", "auto-generated");
        message.Headers.Add("X-Auto-Response-Suppress", "All");
        message.Headers.Add(HeaderId.ContentLanguage, language);
        var part = new TextPart(TextFormat.Plain) { ContentTransferEncoding = ContentEncoding.QuotedPrintable };
        part.SetText(Encoding.UTF8, text.Replace("\n", "\r\n", StringComparison.Ordinal));
        message.Body = part;
        using var bytes = new MemoryStream();
        message.WriteTo(Rfc5322, bytes);
        return new PageMail(0, address, id, message.Subject, bytes.ToArray(), now, usefulUntil);
    }
}

using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Html;
using GraftWatch.Letters.Links;
using GraftWatch.Letters.Outline;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using MimeKit;
using MimeKit.Text;
using NodaTime;

namespace GraftWatch.Letters;

/// <summary>Composes letters as RFC 5322 messages. The same round, grower, number and instant give the same bytes.</summary>
/// <param name="options">Sender and reply address.</param>
/// <param name="links">Makes the links; null while there is no public page.</param>
public sealed class LetterComposer(MailOptions options, ActionLinks? links = null) : ILetterComposer
{
    private static readonly Duration LinkLife = Duration.FromDays(14);

    /// <inheritdoc />
    public SealedLetter Compose(Round round, Grower grower, int number, Instant now)
    {
        ArgumentNullException.ThrowIfNull(round);
        ArgumentNullException.ThrowIfNull(grower);
        if (MailAddresses.Check(grower.Address) is { } fault)
        {
            throw new ArgumentException($"The letter to {PlainWords.Name(grower.Name)} cannot be addressed. {fault}", nameof(grower));
        }

        var slot = new LetterSlot(grower.Name, round.Date, LetterKind.Morning);
        return Seal(round, grower, slot, number, now);
    }

    private SealedLetter Seal(Round round, Grower grower, LetterSlot slot, int number, Instant now)
    {
        string id = SlotId(slot);
        string subject = SubjectLine.For(round);
        var context = new LetterContext { Number = number, ReplyTo = options.ReplyTo, Links = links, LinksEnd = now + LinkLife };
        LetterOutline outline = OutlineBuilder.Build(round, context);
        using MimeMessage message = Message(grower, slot, subject, id, now);
        message.Body = new MultipartAlternative
        {
            TextPart(TextFormat.Plain, TextLayout.Of(outline, RoundText.Width)),
            TextPart(TextFormat.Html, LetterHtml.Of(outline, subject)),
        };
        message.Body.ContentType.Boundary = "letter-" + id;
        using var bytes = new MemoryStream();
        message.WriteTo(Rfc5322, bytes);
        return new SealedLetter(slot, number, id + "@" + options.Domain, grower.Address, subject, bytes.ToArray(), now);
    }

    private static readonly FormatOptions Rfc5322 = new()
    {
        NewLineFormat = NewLineFormat.Dos,
        EnsureNewLine = true,
        International = false,
        ParameterEncodingMethod = ParameterEncodingMethod.Rfc2231,
    };

    private MimeMessage Message(Grower grower, LetterSlot slot, string subject, string id, Instant now)
    {
        var message = new MimeMessage();
        message.Headers.Clear();
        message.From.Add(new MailboxAddress(Encoding.UTF8, PlainWords.Name(options.FromName), options.From));
        message.To.Add(new MailboxAddress(Encoding.UTF8, PlainWords.Name(grower.Name), grower.Address));
        if (options.ReplyTo.Length > 0)
        {
            message.ReplyTo.Add(new MailboxAddress(Encoding.UTF8, string.Empty, options.ReplyTo));
        }

        message.Subject = subject;
        message.Date = now.InZone(grower.Zone).ToDateTimeOffset();
        message.MessageId = id + "@" + options.Domain;
        message.MimeVersion = new Version(1, 0);
        message.Headers.Add("Auto-Submitted", "auto-generated");
        message.Headers.Add("X-Auto-Response-Suppress", "All");
        message.Headers.Add(HeaderId.ListId, $"{ListName(slot.Kind)} <{ListKey(slot.Kind)}.{options.Domain}>");
        Unsubscribe(message, grower, slot, now);
        message.Headers.Add(HeaderId.ContentLanguage, "en");
        return message;
    }

    /// <summary>RFC 2369 and, over https, RFC 8058: one POST stops the letters, a GET only shows a page.</summary>
    private void Unsubscribe(MimeMessage message, Grower grower, LetterSlot slot, Instant now)
    {
        var ways = new List<string>();
        bool oneClick = links is { IsHttps: true };
        if (oneClick)
        {
            Uri stop = links!.For(new ActionLink(WorkAnswer.Stop, grower.Name, slot.Date, string.Empty, now + LinkLife));
            ways.Add($"<{stop.AbsoluteUri}>");
        }

        if (options.ReplyTo.Length > 0)
        {
            ways.Add($"<mailto:{options.ReplyTo}?subject=stop>");
        }

        if (ways.Count > 0)
        {
            message.Headers.Add(HeaderId.ListUnsubscribe, string.Join(", ", ways));
        }

        if (oneClick)
        {
            message.Headers.Add(HeaderId.ListUnsubscribePost, "List-Unsubscribe=One-Click");
        }
    }

    private static TextPart TextPart(TextFormat format, string text)
    {
        var part = new TextPart(format) { ContentTransferEncoding = ContentEncoding.QuotedPrintable };
        part.SetText(Encoding.UTF8, text.Replace("\n", "\r\n", StringComparison.Ordinal));
        return part;
    }

    private static string ListName(LetterKind kind) => kind == LetterKind.Urgent ? "Urgent notes" : "Morning letters";

    private static string ListKey(LetterKind kind) => kind == LetterKind.Urgent ? "urgent-notes" : "morning-letters";

    /// <summary>A name for the slot that is the same on every machine and says nothing about the grower.</summary>
    private string SlotId(LetterSlot slot)
    {
        string key = string.Create(CultureInfo.InvariantCulture, $"graftwatch slot 1\n{slot.Grower}\n{slot.Date:uuuu'-'MM'-'dd}\n{(int)slot.Kind}\n{options.From}");
        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(key)).AsSpan(0, 15));
    }
}

using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Calendar;
using GraftWatch.Letters.Html;
using GraftWatch.Letters.Links;
using GraftWatch.Letters.Outline;
using GraftWatch.Letters.Picture;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using MimeKit;
using MimeKit.Text;
using NodaTime;

namespace GraftWatch.Letters;

/// <summary>Composes letters as RFC 5322 messages. The same round, grower and request give the same bytes.</summary>
/// <param name="options">Sender and reply address.</param>
/// <param name="links">Makes the links; null while there is no public page.</param>
/// <param name="choices">What each grower's letters carry; null for everything.</param>
public sealed class LetterComposer(MailOptions options, ActionLinks? links = null, Func<Grower, LetterChoices>? choices = null) : ILetterComposer
{
    /// <summary>How long the links of a letter act.</summary>
    public static readonly Duration LinkLife = Duration.FromDays(14);

    /// <summary>How long the link that stops the letters acts.</summary>
    public static readonly Duration StopLinkLife = Duration.FromDays(90);

    private static readonly FormatOptions Rfc5322 = new()
    {
        NewLineFormat = NewLineFormat.Dos,
        EnsureNewLine = true,
        International = false,
        ParameterEncodingMethod = ParameterEncodingMethod.Rfc2231,
    };

    /// <inheritdoc />
    public SealedLetter Compose(Round round, Grower grower, int number, Instant now) =>
        Compose(round, grower, new LetterRequest { Number = number, Now = now });

    /// <inheritdoc />
    public SealedLetter Compose(Round round, Grower grower, LetterOccasion occasion)
    {
        ArgumentNullException.ThrowIfNull(occasion);
        return Compose(round, grower, new LetterRequest { Number = occasion.Number, Now = occasion.Now, DueAt = occasion.DueAt, Notice = occasion.Notice, Previous = occasion.Previous });
    }

    /// <summary>Composes and seals a morning letter or an urgent note.</summary>
    /// <param name="round">What to say; for an urgent note only what is new.</param>
    /// <param name="grower">To whom.</param>
    /// <param name="request">Which letter.</param>
    /// <exception cref="ArgumentException">The grower's address cannot be used; the message says why.</exception>
    public SealedLetter Compose(Round round, Grower grower, LetterRequest request)
    {
        ArgumentNullException.ThrowIfNull(round);
        ArgumentNullException.ThrowIfNull(grower);
        ArgumentNullException.ThrowIfNull(request);
        if (MailAddresses.Check(grower.Address) is { } fault)
        {
            throw new ArgumentException($"The letter to {PlainWords.Name(grower.Name)} cannot be addressed. {fault}", nameof(grower));
        }

        var slot = new LetterSlot(grower.Name, round.Date, request.Kind) { Ordinal = request.Ordinal };
        string id = SlotIds.Of(slot, options.From);
        string subject = SubjectLine.For(round, request.Kind);
        LetterOutline outline = OutlineBuilder.Build(round, Context(grower, round, request));
        LetterChoices carries = choices?.Invoke(grower) ?? new LetterChoices();
        using MimeMessage message = Head(grower, slot, subject, id, request.Now);
        message.Body = Body(round, outline, subject, id, carries, request);
        using var bytes = new MemoryStream();
        message.WriteTo(Rfc5322, bytes);
        return new SealedLetter(slot, request.Number, id + "@" + options.Domain, grower.Address, subject, bytes.ToArray(), request.Now);
    }

    private LetterContext Context(Grower grower, Round round, LetterRequest request) => new()
    {
        Number = request.Number,
        IsUrgentNote = request.Kind == LetterKind.Urgent,
        ReplyTo = options.ReplyTo,
        Grower = grower.Name,
        Links = LinksFor(grower),
        LinksEnd = request.Now + LinkLife,
        StopEnds = request.Now + StopLinkLife,
        Notice = request.NoticeIn(grower.Zone, round.Date),
    };

    /// <summary>A name that fits no link gets a letter without links rather than none.</summary>
    private ActionLinks? LinksFor(Grower grower) => links is not null && ActionLinks.CanHold(grower.Name) ? links : null;

    private MimeMessage Head(Grower grower, LetterSlot slot, string subject, string id, Instant now)
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

    private MimeEntity Body(Round round, LetterOutline outline, string subject, string id, LetterChoices carries, LetterRequest request)
    {
        RenderedPicture? picture = carries.Picture && round.Outlook is { } outlook ? OutlookPicture.Render(outlook, round) : null;
        LetterPicture? shown = picture is null ? null : new LetterPicture($"outlook.{id}@{options.Domain}", picture.Words);
        MimeEntity html = TextPart(TextFormat.Html, LetterHtml.Of(outline, subject, shown));
        if (picture is not null)
        {
            html = new MultipartRelated { html, Inline(picture, shown!.ContentId) };
            html.ContentType.Boundary = "picture-" + id;
        }

        MimeEntity body = new MultipartAlternative { TextPart(TextFormat.Plain, TextLayout.Of(outline, RoundText.Width)), html };
        body.ContentType.Boundary = "letter-" + id;
        IReadOnlyList<CalendarTask> tasks = carries.Calendar && request.Kind == LetterKind.Morning ? Tasks(round, request) : [];
        if (tasks.Count > 0)
        {
            body = new Multipart("mixed") { body, CalendarPart(tasks) };
            body.ContentType.Boundary = "whole-" + id;
        }

        return body;
    }

    private IReadOnlyList<CalendarTask> Tasks(Round round, LetterRequest request) => CalendarTasks.Follow(
        request.Previous is { } previous ? CalendarReader.Of(previous) : [],
        CalendarTasks.Of(round, options.Domain, request.Number),
        request.Number,
        request.Now);

    private TextPart CalendarPart(IReadOnlyList<CalendarTask> tasks)
    {
        var part = new TextPart("calendar")
        {
            ContentTransferEncoding = ContentEncoding.QuotedPrintable,
            ContentDisposition = new ContentDisposition(ContentDisposition.Attachment) { FileName = "work.ics" },
        };
        part.SetText(Encoding.UTF8, CalendarWriter.Part(tasks, options.From));
        part.ContentType.Parameters.Add("method", "PUBLISH");
        return part;
    }

    private static MimePart Inline(RenderedPicture picture, string contentId) => new("image", "png")
    {
        ContentId = contentId,
        ContentTransferEncoding = ContentEncoding.Base64,
        ContentDisposition = new ContentDisposition(ContentDisposition.Inline) { FileName = "outlook.png" },
        Content = new MimeContent(new MemoryStream(picture.Png, writable: false)),
    };

    /// <summary>RFC 2369 and, over https, RFC 8058: one POST stops the letters, a GET only shows a page.</summary>
    private void Unsubscribe(MimeMessage message, Grower grower, LetterSlot slot, Instant now)
    {
        var ways = new List<string>();
        ActionLinks? links = LinksFor(grower);
        bool oneClick = links is { IsHttps: true };
        if (oneClick)
        {
            Uri stop = links!.For(new ActionLink(WorkAnswer.Stop, grower.Name, slot.Date, string.Empty, now + StopLinkLife));
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
}

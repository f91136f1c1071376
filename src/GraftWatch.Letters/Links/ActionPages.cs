using GraftWatch.Letters.Html;
using GraftWatch.Letters.Wording;

namespace GraftWatch.Letters.Links;

/// <summary>The small pages behind the links of letters. A GET shows <see cref="Ask"/>; only its button, a POST, acts.</summary>
/// <remarks>No script, no cookie, nothing fetched. A one-click POST of a mail program (RFC 8058) goes to the same address and gets <see cref="Acted"/>.</remarks>
public static class ActionPages
{
    /// <summary>Headers every answer carries.</summary>
    public static IReadOnlyDictionary<string, string> Headers { get; } = new Dictionary<string, string>
    {
        ["Cache-Control"] = "no-store",
        ["Referrer-Policy"] = "no-referrer",
        ["X-Robots-Tag"] = "noindex, nofollow",
        ["X-Content-Type-Options"] = "nosniff",
        ["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    };

    /// <summary>What a GET shows: what the button would do, for whom.</summary>
    /// <param name="link">The genuine link.</param>
    /// <param name="work">The line of work in words; empty for links about the whole letter.</param>
    /// <param name="address">The grower's mail address, printed masked.</param>
    public static string Ask(ActionLink link, string work, string address)
    {
        ArgumentNullException.ThrowIfNull(link);
        return Page(Question(link.Answer), html =>
        {
            Lines(html, link, work, address);
            Button(html, string.Empty, Verb(link.Answer));
            Paragraph(html, "Nothing has happened yet. Opening this page changes nothing.", soft: true);
        });
    }

    /// <summary>What a POST shows: what was done, and the way back.</summary>
    /// <param name="link">The genuine link.</param>
    /// <param name="work">The line of work in words.</param>
    /// <param name="address">The grower's mail address, printed masked.</param>
    /// <param name="undo">Where a POST takes it back, or null when there is no way back.</param>
    public static string Acted(ActionLink link, string work, string address, Uri? undo)
    {
        ArgumentNullException.ThrowIfNull(link);
        return Page(Statement(link.Answer), html =>
        {
            Lines(html, link, work, address);
            if (undo is not null)
            {
                Paragraph(html, "Not what you meant?");
                Button(html, undo.AbsoluteUri, link.Answer == WorkAnswer.Stop ? "Start the letters again" : "Take it back");
            }
        });
    }

    /// <summary>A genuine link whose time is over.</summary>
    public static string Ended(ActionLink link)
    {
        ArgumentNullException.ThrowIfNull(link);
        return Page("This link has ended", html =>
            Paragraph(html, $"It belonged to the letter of {Hours.Long(link.Day)}. The newest letter has fresh links."));
    }

    /// <summary>A link that is not ours: says nothing about who or what exists.</summary>
    public static string Foreign() => Page("No such page", html => Paragraph(html, "The address is not complete or was never one of ours."));

    /// <summary>"m…a@g….example": enough to know one's own address, not enough to learn another's.</summary>
    public static string Mask(string address)
    {
        ArgumentNullException.ThrowIfNull(address);
        int at = address.LastIndexOf('@');
        if (at <= 0)
        {
            return "…";
        }

        string domain = address[(at + 1)..];
        int dot = domain.LastIndexOf('.');
        string end = dot > 0 ? domain[dot..] : string.Empty;
        return PlainWords.Name(address[..1] + "…@" + domain[..Math.Min(1, domain.Length)] + "…" + end);
    }

    private static void Lines(HtmlWriter html, ActionLink link, string work, string address)
    {
        if (work.Length > 0)
        {
            Paragraph(html, PlainWords.Sentence(work));
        }

        Paragraph(html, $"{PlainWords.Name(link.Grower)}, {Mask(address)}, letter of {Hours.Long(link.Day)}.", soft: true);
    }

    private static string Page(string title, Action<HtmlWriter> body)
    {
        var html = new HtmlWriter();
        html.Open("html", ("lang", "en"));
        html.Open("head");
        html.Void("meta", ("charset", "utf-8"));
        html.Void("meta", ("name", "viewport"), ("content", "width=device-width,initial-scale=1"));
        html.Void("meta", ("name", "robots"), ("content", "noindex,nofollow"));
        html.Element("title", title);
        html.Rules(LetterStyle.Rules);
        html.Close();
        html.Open("body", ("class", "paper"), ("style", LetterStyle.Body));
        html.Open("div", ("class", "paper"), ("style", LetterStyle.Column));
        html.Element("h1", title, ("class", "ink"), ("style", LetterStyle.Title));
        body(html);
        return html.Close().Close().Close().ToString();
    }

    private static void Paragraph(HtmlWriter html, string words, bool soft = false) =>
        html.Element("p", words, ("class", soft ? "soft" : "ink"), ("style", soft ? LetterStyle.Closing : LetterStyle.Lead));

    private static void Button(HtmlWriter html, string action, string words)
    {
        html.Open("form", ("method", "post"), ("action", action));
        html.Element("button", words, ("type", "submit"), ("class", "link"), ("style", LetterStyle.PageButton));
        html.Close();
    }

    private static string Question(WorkAnswer answer) => answer switch
    {
        WorkAnswer.Done => "Mark this work as done?",
        WorkAnswer.PutOff => "Put this work off until the next letter?",
        WorkAnswer.NotNeeded => "Mark this work as not needed?",
        WorkAnswer.TakeBack => "Take your answer back?",
        WorkAnswer.Stop => "Stop these letters?",
        WorkAnswer.Resume => "Start these letters again?",
        _ => "The day's page",
    };

    private static string Statement(WorkAnswer answer) => answer switch
    {
        WorkAnswer.Done => "Marked as done",
        WorkAnswer.PutOff => "Put off until the next letter",
        WorkAnswer.NotNeeded => "Marked as not needed",
        WorkAnswer.TakeBack => "Your answer is taken back",
        WorkAnswer.Stop => "The letters are stopped; nothing is deleted",
        WorkAnswer.Resume => "The letters start again",
        _ => "The day's page",
    };

    private static string Verb(WorkAnswer answer) => answer switch
    {
        WorkAnswer.Done => "Yes, it is done",
        WorkAnswer.PutOff => "Put it off",
        WorkAnswer.NotNeeded => "It is not needed",
        WorkAnswer.TakeBack => "Take it back",
        WorkAnswer.Stop => "Stop the letters",
        WorkAnswer.Resume => "Start the letters",
        _ => "Show it",
    };
}

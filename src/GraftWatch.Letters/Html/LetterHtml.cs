using System.Globalization;
using System.Text;
using GraftWatch.Letters.Outline;
using GraftWatch.Letters.Wording;

namespace GraftWatch.Letters.Html;

/// <summary>The HTML part of a letter: one column, styles inlined, nothing fetched from anywhere.</summary>
internal static class LetterHtml
{
    /// <summary>Some mail programs cut a message a little above this. [bytes of UTF-8]</summary>
    public const int Limit = 90_000;

    /// <summary>Work blocks that are printed whole when a letter is too long.</summary>
    private const int WholeBlocksWhenLong = 12;

    /// <summary>Renders, shortening stages first and the tail of the work then until it fits.</summary>
    /// <param name="outline">The letter.</param>
    /// <param name="subject">Title of the document.</param>
    /// <param name="picture">Content id and alternative text of the inline picture, or null.</param>
    public static string Of(LetterOutline outline, string subject, LetterPicture? picture = null)
    {
        string html = Render(outline, subject, picture, int.MaxValue, shortSections: false);
        if (Fits(html))
        {
            return html;
        }

        html = Render(outline, subject, picture, int.MaxValue, shortSections: true);
        for (int whole = WholeBlocksWhenLong; !Fits(html) && whole >= 0; whole -= 4)
        {
            html = Render(outline, subject, picture, whole, shortSections: true);
        }

        return Fits(html) ? html : Render(Cut(outline), subject, picture, 0, shortSections: true);
    }

    private static bool Fits(string html) => Encoding.UTF8.GetByteCount(html) < Limit;

    private static LetterOutline Cut(LetterOutline outline) => outline with
    {
        Work = [.. outline.Work.Take(40)],
        Sections =
        [
            .. outline.Sections.Select(s => s with { Lines = [.. (s.Brief ?? s.Lines).Take(8).Select(l => l.Length > 400 ? l[..400] + "…" : l)], Brief = null }),
            new OutlineSection("Too long for this view", ["The plain-text part of this letter is complete."], IsLoud: true),
        ],
    };

    private static string Render(LetterOutline outline, string subject, LetterPicture? picture, int wholeBlocks, bool shortSections)
    {
        var html = new HtmlWriter();
        html.Open("html", ("lang", "en"), ("dir", "ltr"));
        html.Open("head");
        html.Void("meta", ("charset", "utf-8"));
        html.Void("meta", ("name", "viewport"), ("content", "width=device-width,initial-scale=1"));
        html.Void("meta", ("name", "color-scheme"), ("content", "light dark"));
        html.Void("meta", ("name", "supported-color-schemes"), ("content", "light dark"));
        html.Element("title", subject);
        html.Rules(LetterStyle.Rules);
        html.Close();
        html.Open("body", ("class", "paper"), ("style", LetterStyle.Body));
        html.Open("div", ("class", "paper"), ("style", LetterStyle.Column));
        Head(html, outline);
        if (picture is not null)
        {
            html.Void("img", ("src", "cid:" + picture.ContentId), ("alt", picture.Words), ("width", "588"), ("style", "display:block;width:100%;max-width:588px;height:auto;margin:18px 0 0"));
        }

        if (outline.Work.Count > 0)
        {
            Heading(html, "Work");
            foreach (WorkBlock block in outline.Work)
            {
                Work(html, block, block.Number <= wholeBlocks);
            }
        }

        foreach (OutlineSection section in outline.Sections)
        {
            Section(html, section, shortSections && section.Brief is { } lines ? lines : section.Lines);
        }

        Closing(html, outline);
        return html.Close().Close().Close().ToString();
    }

    private static void Head(HtmlWriter html, LetterOutline outline)
    {
        html.Element("h1", outline.Title, ("class", "ink"), ("style", LetterStyle.Title));
        string under = string.Join(" · ", new[] { outline.Places, outline.Number }.Where(s => s.Length > 0));
        html.Element("p", under, ("class", "soft"), ("style", LetterStyle.Under));
        html.Element("p", outline.Lead, ("class", outline.IsAlarm ? "ink alarm" : "ink"), ("style", outline.IsAlarm ? LetterStyle.Alarm : LetterStyle.Lead));
        if (outline.Weather.Length > 0)
        {
            html.Element("p", outline.Weather, ("class", "ink"), ("style", LetterStyle.Weather));
        }
    }

    private static void Heading(HtmlWriter html, string words) =>
        html.Element("h2", words, ("class", "ink rule"), ("style", LetterStyle.Section));

    private static void Work(HtmlWriter html, WorkBlock block, bool whole)
    {
        string level = LetterStyle.Class(block.Pressing);
        html.Open("div", ("class", level), ("style", LetterStyle.Block(block.Pressing)));
        html.Element("p", string.Create(CultureInfo.InvariantCulture, $"{block.Number} · {Words.Of(block.Pressing)}"), ("class", level), ("style", LetterStyle.LevelWord(block.Pressing)));
        html.Element("h3", block.Headline, ("class", "ink"), ("style", LetterStyle.Headline));
        if (whole)
        {
            Facts(html, block.Facts);
            foreach (ReasonLine reason in block.Reasons)
            {
                Reason(html, reason);
            }

            Facts(html, block.Needs);
        }
        else
        {
            Facts(html, [.. block.Facts.Take(2)]);
        }

        if (block.Links is { } links)
        {
            html.Open("p", ("style", "margin:0"));
            Button(html, links.Done, "Done");
            Button(html, links.PutOff, "Put off");
            Button(html, links.NotNeeded, "Not needed");
            html.Close();
        }

        html.Close();
    }

    private static void Facts(HtmlWriter html, IReadOnlyList<Fact> facts)
    {
        if (facts.Count == 0)
        {
            return;
        }

        html.Open("table", ("style", LetterStyle.Facts));
        foreach (Fact fact in facts)
        {
            html.Open("tr");
            html.Element("th", fact.Name, ("scope", "row"), ("class", "soft"), ("style", LetterStyle.FactName));
            html.Element("td", fact.Words, ("class", "ink"), ("style", LetterStyle.FactWords));
            html.Close();
        }

        html.Close();
    }

    private static void Reason(HtmlWriter html, ReasonLine reason)
    {
        html.Open("table", ("class", "rule"), ("style", LetterStyle.Numbers));
        html.Open("tr");
        html.Element("th", $"{reason.Quantity}, {reason.At}", ("scope", "col"), ("class", "soft"), ("style", LetterStyle.NumberHead), ("colspan", reason.With is null ? "2" : "3"));
        html.Close();
        html.Open("tr");
        Number(html, reason.Without, reason.With is null ? "expected" : "without");
        if (reason.With is { } with)
        {
            Number(html, with, "with");
        }

        Number(html, reason.Level, "level");
        html.Close();
        html.Close();
    }

    private static void Number(HtmlWriter html, string value, string name)
    {
        html.Open("td", ("class", "ink"), ("style", LetterStyle.NumberCell));
        html.Text(value);
        html.Void("br");
        html.Element("span", name, ("class", "soft"), ("style", LetterStyle.Small));
        html.Close();
    }

    private static void Button(HtmlWriter html, Uri link, string words) =>
        html.Element("a", words, ("href", link.AbsoluteUri), ("class", "link"), ("style", LetterStyle.Button));

    private static void Section(HtmlWriter html, OutlineSection section, IReadOnlyList<string> lines)
    {
        Heading(html, section.Title);
        html.Open("ul", ("style", LetterStyle.List));
        foreach (string line in lines)
        {
            html.Element("li", line, ("class", "ink"), ("style", LetterStyle.Item));
        }

        html.Close();
    }

    private static void Closing(HtmlWriter html, LetterOutline outline)
    {
        html.Open("div", ("class", "rule"), ("style", LetterStyle.Foot));
        foreach (ClosingLine line in outline.Closing)
        {
            if (line.Link is { } link)
            {
                html.Open("p", ("class", "soft"), ("style", LetterStyle.Closing));
                html.Element("a", line.Words.TrimEnd(':'), ("href", link.AbsoluteUri), ("class", "link"), ("style", LetterStyle.Anchor));
                html.Close();
            }
            else
            {
                html.Element("p", line.Words, ("class", "soft"), ("style", LetterStyle.Closing));
            }
        }

        html.Close();
    }
}

/// <summary>The inline picture of a letter.</summary>
/// <param name="ContentId">Content-ID without angle brackets.</param>
/// <param name="Words">What it shows, for readers who do not see it.</param>
internal sealed record LetterPicture(string ContentId, string Words);

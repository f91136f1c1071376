using System.Text;
using System.Text.RegularExpressions;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters.Html;
using GraftWatch.Letters.Outline;
using GraftWatch.Testing;

namespace GraftWatch.Letters.Tests;

public partial class LetterHtmlTests
{
    [Fact]
    public void A_full_day_reads_as_approved() => Approved.Text("full-day-html", Html(Some.Round()));

    [Fact]
    public void Everything_in_the_text_stands_in_the_HTML_too()
    {
        LetterOutline outline = OutlineBuilder.Build(Some.Round() with { Planned = [Some.Planned()] }, new LetterContext { Number = 12 });
        string seen = Words(LetterHtml.Of(outline, "subject"));

        Assert.Contains("Planned grafting", seen, StringComparison.Ordinal);
        foreach (string line in TextLayout.Of(outline, 100_000).Split('\n').Where(l => l.Trim().Length > 0))
        {
            string[] wanted = [.. WordPattern().Matches(line).Select(m => m.Value.TrimEnd(':', '.')).Where(w => w.Any(char.IsDigit))];
            Assert.All(wanted, word => Assert.Contains(word, seen, StringComparison.Ordinal));
        }
    }

    [Fact]
    public void Nothing_is_fetched_from_anywhere()
    {
        string html = Html(Some.Round());

        Assert.DoesNotContain("src=", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("url(", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("@import", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("http", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<script", html, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public void Markup_in_a_register_stays_text()
    {
        const string Evil = "<img src=x onerror=alert(1)>\"'&";
        Round round = Some.Round() with
        {
            Grower = Evil,
            Places = [Some.Round().Places[0] with { Place = Some.Place(Evil) }],
            Advice = [Some.Shade() with { Text = Evil, Where = Evil, Why = Evil, Grafts = [Evil], Materials = [Evil], Cautions = [Evil] }],
            Assumed = [Evil],
            NotChecked = [new(Evil, Hazard.Frost, Evil)],
        };

        string html = Html(round);

        Assert.DoesNotContain("<img", html, StringComparison.Ordinal);
        Assert.Contains("&lt;img", html, StringComparison.Ordinal);
    }

    [Fact]
    public void A_letter_over_three_hundred_lines_of_work_stays_under_the_size_at_which_mail_programs_cut()
    {
        Round round = Some.Round() with
        {
            Advice = [.. Enumerable.Range(0, 300).Select(i => Some.Shade() with { Id = "a" + i, Where = "Block " + i })],
            Stages = [.. Enumerable.Range(0, 3000).Select(i => new GraftStage($"X{i * 2}", Stage.Callus, 1, Stage.Knit, null, Some.Day.PlusDays(i % 40), null))],
        };

        string html = Html(round);

        Assert.InRange(Encoding.UTF8.GetByteCount(html), 20_000, LetterHtml.Limit);
        Assert.EndsWith("</html>\n", html, StringComparison.Ordinal);
        Assert.Contains("plain-text part", html, StringComparison.Ordinal);
        Assert.Contains("Block 299", RoundText.Render(round), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(LetterStyle.Paper, LetterStyle.Ink)]
    [InlineData(LetterStyle.Paper, LetterStyle.Soft)]
    [InlineData(LetterStyle.Paper, LetterStyle.Urgent)]
    [InlineData(LetterStyle.Paper, LetterStyle.Today)]
    [InlineData(LetterStyle.Paper, LetterStyle.Know)]
    [InlineData(LetterStyle.Paper, LetterStyle.Link)]
    [InlineData(LetterStyle.DarkPaper, LetterStyle.DarkInk)]
    [InlineData(LetterStyle.DarkPaper, LetterStyle.DarkSoft)]
    [InlineData(LetterStyle.DarkPaper, LetterStyle.DarkUrgent)]
    [InlineData(LetterStyle.DarkPaper, LetterStyle.DarkToday)]
    [InlineData(LetterStyle.DarkPaper, LetterStyle.DarkKnow)]
    [InlineData(LetterStyle.DarkPaper, LetterStyle.DarkLink)]
    public void Every_text_colour_has_AA_contrast_on_its_paper(string paper, string ink)
    {
        // WCAG 2.2, success criterion 1.4.3: 4.5:1 for text; relative luminance as defined there.
        double one = Luminance(paper);
        double two = Luminance(ink);
        Assert.InRange((Math.Max(one, two) + 0.05) / (Math.Min(one, two) + 0.05), 4.5, 21);
    }

    [Fact]
    public void Every_coloured_element_has_a_class_for_dark_screens()
    {
        foreach (Match tag in TagWithColour().Matches(Html(Some.Round())))
        {
            Assert.Contains("class=", tag.Value, StringComparison.Ordinal);
        }
    }

    private static string Html(Round round) => LetterHtml.Of(OutlineBuilder.Build(round, new LetterContext { Number = 12, ReplyTo = "office@orchard.example" }), SubjectLine.For(round));

    private static string Words(string html) => System.Net.WebUtility.HtmlDecode(TagPattern().Replace(html, " ")).Replace('\u00A0', ' ');

    private static double Luminance(string hex)
    {
        double Channel(int at)
        {
            double c = Convert.ToInt32(hex.Substring(at, 2), 16) / 255.0;
            return c <= 0.04045 ? c / 12.92 : Math.Pow((c + 0.055) / 1.055, 2.4);
        }

        return (0.2126 * Channel(1)) + (0.7152 * Channel(3)) + (0.0722 * Channel(5));
    }

    [GeneratedRegex("<[^>]*>")]
    private static partial Regex TagPattern();

    [GeneratedRegex(@"[\p{L}\p{N}.:−-]+")]
    private static partial Regex WordPattern();

    [GeneratedRegex("<[^>]*(?<!-)color:#[^>]*>")]
    private static partial Regex TagWithColour();
}

using GraftWatch.Letters.Outline;
using GraftWatch.Letters.Wording;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using NodaTime;

namespace GraftWatch.Pages.Today;

/// <summary>One line of the round on a page: its words as in the letter, and its answers.</summary>
internal static class LineView
{
    /// <summary>Writes the line.</summary>
    /// <param name="html">The page.</param>
    /// <param name="page">The request.</param>
    /// <param name="block">The line in the letter's words.</param>
    /// <param name="state">What of it was answered since.</param>
    /// <param name="zone">Zone of the grower.</param>
    internal static void Write(Html html, PageContext page, WorkBlock block, LineState state, DateTimeZone zone)
    {
        ArgumentNullException.ThrowIfNull(zone);
        using (html.In("article", ("class", "line " + ClassOf(block.Pressing)), ("id", "line-" + block.Advice.Id)))
        {
            Words(html, page, block);
            if (!TodayPages.CanAnswer(block.Advice))
            {
                return;
            }

            if (state.Answered.Count > 0)
            {
                html.Paragraph(page.Say(state.IsAnswered ? "today.line-answered" : "today.line-partly", TradeWords.Cut(LabelList.Fold(state.Answered))), "said");
            }

            if (!state.IsAnswered)
            {
                html.Form(page, "/today/answer", () =>
                {
                    html.Hidden("line", block.Advice.Id);
                    Buttons(html, page);
                });
            }

            using (html.In("p", ("class", "row no-print")))
            {
                if (block.Advice.Grafts.Count > 1)
                {
                    html.Link(page.To("/today/line?id=" + Uri.EscapeDataString(block.Advice.Id)), page.Say("today.only-some"));
                }

                string saw = block.Advice.Grafts.Count == 1
                    ? "/saw?graft=" + Uri.EscapeDataString(block.Advice.Grafts[0])
                    : "/today/line?id=" + Uri.EscapeDataString(block.Advice.Id);
                html.Link(page.To(saw), page.Say("today.saw"));
            }
        }
    }

    /// <summary>The line in the letter's words.</summary>
    internal static void Words(Html html, PageContext page, WorkBlock block)
    {
        html.Leaf("p", LetterOutline.Heading(block.Pressing), ("class", "pressing"), ("lang", page.English()));
        html.Leaf("h3", $"{block.Number}. {block.Headline}", ("lang", page.English()));
        using (html.In("dl", ("lang", page.English())))
        {
            foreach (Fact fact in block.Facts)
            {
                Fact(html, fact.Name, TradeWords.Cut(fact.Words));
            }

            foreach (ReasonLine reason in block.Reasons)
            {
                string numbers = reason.With is { } with ? $"{reason.Without} without, {with} with" : reason.Without;
                Fact(html, $"{reason.Quantity}, {reason.At}", $"{numbers}; level {reason.Level}");
            }

            foreach (Fact need in block.Needs)
            {
                Fact(html, need.Name, need.Words);
            }
        }
    }

    /// <summary>Done, put off, not needed.</summary>
    internal static void Buttons(Html html, PageContext page)
    {
        html.Button(page.Say("today.done"), null, "answer", "done");
        html.Button(page.Say("today.put-off"), "second", "answer", "put-off");
        html.Button(page.Say("today.not-needed"), "second", "answer", "not-needed");
    }

    private static void Fact(Html html, string name, string words)
    {
        html.Leaf("dt", name);
        html.Leaf("dd", words);
    }

    /// <summary>The style of a line.</summary>
    internal static string ClassOf(Pressing pressing) => pressing switch
    {
        Pressing.Urgent => "urgent",
        Pressing.Today => "for-today",
        Pressing.Soon => "soon",
        Pressing.Know => "know",
        _ => throw new System.Diagnostics.UnreachableException(),
    };
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Outline;
using GraftWatch.Letters.Wording;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Rounds.Answering;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.Today;

/// <summary>The round of today as the letter says it, with answers and the way back.</summary>
internal sealed class TodayPages(TodayService today) : IPageGroup
{
    private const int LinesOnPage = 15;
    private const int AnswersOnPage = 10;
    private const int SectionLines = 12;

    public IReadOnlyList<MenuEntry> Menu { get; } = [new("today.menu", "/today", Access.Grower, 10)];

    public void Map(PageRoutes routes)
    {
        routes.Get("/today", Access.Grower, ShowAsync);
        routes.Get("/today/answers", Access.Grower, ShowAnswersAsync);
    }

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        (GrowerDay? day, IReadOnlyList<string> faults) = await today.LookAsync(page).ConfigureAwait(false);
        if (day is null)
        {
            return faults.Count == 0 ? TodayService.Wait(page) : page.Show(page.Say("today.title"), html => RegisterFaults(html, page, faults));
        }

        IReadOnlyList<NotedAnswer> answers = await today.AnswersAsync(page).ConfigureAwait(false);
        LetterOutline outline = day.Outline;
        (WorkBlock Block, LineState State)[] lines = [.. outline.Work.Select(block => (block, LineState.Of(block.Advice, day.Round.Now, answers)))];
        Pager pager = Pager.Of(page, lines.Length, LinesOnPage);
        return page.Show(page.Days.Long(day.Round.Date), html =>
        {
            Head(html, page, day, outline);
            html.Leaf("h2", page.Say("today.work"));
            if (lines.Length == 0)
            {
                html.Paragraph(page.Say("today.no-work"));
            }

            foreach ((WorkBlock block, LineState state) in pager.Of(lines))
            {
                LineView.Write(html, page, block, state, day.Grower.Zone);
            }

            html.Pager(page, pager);
            Answers(html, page, [.. answers.Take(AnswersOnPage)], answers.Count > AnswersOnPage);
            Sections(html, page, outline);
        });
    }

    private async Task<PageAnswer> ShowAnswersAsync(PageContext page)
    {
        IReadOnlyList<NotedAnswer> answers = await today.AnswersAsync(page).ConfigureAwait(false);
        Pager pager = Pager.Of(page, answers.Count, 50);
        return page.Show(page.Say("today.answers"), html =>
        {
            Answers(html, page, [.. pager.Of(answers)], more: false);
            html.Pager(page, pager);
            html.Link(page.To("/today"), page.Say("today.back"));
        });
    }

    private static void Head(Html html, PageContext page, GrowerDay day, LetterOutline outline)
    {
        if (day.RegisterTrouble.Length > 0)
        {
            html.Leaf("p", TradeWords.Cut(day.RegisterTrouble), ("class", "alarm"), ("lang", page.English()));
        }

        html.Leaf("p", outline.Lead, ("class", outline.IsAlarm ? "alarm" : "lead"), ("lang", page.English()));
        if (outline.Weather.Length > 0)
        {
            html.Leaf("p", outline.Weather, ("lang", page.English()));
        }

        html.Paragraph(day.IsBehind ? page.Say("today.behind", page.Days.Hour(day.Round.Now)) : page.Say("today.computed", page.Days.Hour(day.Round.Now)), "small");
        if (page.English() is not null)
        {
            html.Paragraph(page.Say("today.english"), "small");
        }

        using (html.In("p", ("class", "no-print")))
        {
            html.Link(page.To("/print"), page.Say("today.print"), "button second");
        }
    }

    private static void Answers(Html html, PageContext page, IReadOnlyList<NotedAnswer> answers, bool more)
    {
        if (answers.Count == 0)
        {
            return;
        }

        html.Leaf("h2", page.Say("today.answers"), ("id", "answers"));
        using (html.In("ul", ("class", "plain")))
        {
            foreach (NotedAnswer noted in answers)
            {
                using (html.In("li", ("class", "row")))
                {
                    SaidAnswer answer = noted.Answer;
                    string labels = TradeWords.Cut(LabelList.Fold(answer.Grafts));
                    html.Leaf("span", page.Say("today.answered", page.Days.At(answer.At), page.Of(answer.Action), page.Of(answer.State), labels));
                    if (noted.UndoneAt is not null)
                    {
                        html.Leaf("span", page.Say("today.taken-back"), ("class", "small"));
                    }
                    else
                    {
                        html.Form(page, "/today/undo", () =>
                        {
                            html.Hidden("answer", noted.Id.ToString(System.Globalization.CultureInfo.InvariantCulture));
                            html.Button(page.Say("today.undo"), "quiet");
                        });
                    }
                }
            }
        }

        if (more)
        {
            html.Link(page.To("/today/answers"), page.Say("today.all-answers"));
        }
    }

    private static void Sections(Html html, PageContext page, LetterOutline outline)
    {
        foreach (OutlineSection section in outline.Sections)
        {
            IReadOnlyList<string> lines = section.Lines;
            html.Leaf("h2", section.Title, ("lang", page.English()));
            using (html.In("ul", ("lang", page.English()), ("class", section.IsLoud ? "alarm" : null)))
            {
                foreach (string line in lines.Take(SectionLines))
                {
                    html.Leaf("li", TradeWords.Cut(line));
                }
            }

            if (lines.Count > SectionLines)
            {
                html.Link(page.To("/grafts"), page.Say("today.more-in-grafts"));
            }
        }

        foreach (ClosingLine line in outline.Closing)
        {
            html.Leaf("p", line.Words, ("class", "small"), ("lang", page.English()));
        }
    }

    private static void RegisterFaults(Html html, PageContext page, IReadOnlyList<string> faults)
    {
        html.Leaf("p", page.Say("today.register-faults"), ("class", "alarm"), ("role", "alert"));
        using (html.In("ul", ("lang", page.English())))
        {
            foreach (string fault in faults.Take(50))
            {
                html.Leaf("li", fault);
            }
        }
    }

    /// <summary>Whether a line asks for work that can be answered.</summary>
    internal static bool CanAnswer(Advice advice) => WorkTraces.IsWork(advice.Action);
}

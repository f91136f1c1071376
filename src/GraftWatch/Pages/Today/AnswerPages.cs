using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Inputs;
using GraftWatch.Letters.Outline;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.Today;

/// <summary>Answers to lines, and "I saw …"; everything that acts is a form sent by POST.</summary>
internal sealed class AnswerPages(TodayService today) : IPageGroup
{
    private const int GraftsOnPage = 50;

    private static readonly (string Word, SaidState Value)[] States = [("done", SaidState.Done), ("put-off", SaidState.PutOff), ("not-needed", SaidState.NotNeeded)];

    public void Map(PageRoutes routes)
    {
        routes.Get("/today/line", Access.Grower, ShowLineAsync);
        routes.Post("/today/answer", Access.Grower, AnswerAsync);
        routes.Post("/today/undo", Access.Grower, UndoAsync);
        routes.Get("/saw", Access.Grower, ShowSawAsync);
        routes.Post("/saw", Access.Grower, SawAsync);
        routes.Post("/saw/undo", Access.Grower, UndoSawAsync);
    }

    private async Task<PageAnswer> ShowLineAsync(PageContext page)
    {
        (GrowerDay? day, _) = await today.LookAsync(page).ConfigureAwait(false);
        if (day is null || BlockOf(day, page.Query("id")) is not { } block)
        {
            return Gone(page);
        }

        IReadOnlyList<NotedAnswer> answers = await today.AnswersAsync(page).ConfigureAwait(false);
        LineState state = LineState.Of(block.Advice, day.Round.Now, answers);
        Pager pager = Pager.Of(page, block.Advice.Grafts.Count, GraftsOnPage);
        var open = state.Open.ToHashSet(StringComparer.Ordinal);
        return page.Show(page.Of(block.Advice.Action), html =>
        {
            using (html.In("article", ("class", "line")))
            {
                LineView.Words(html, page, block);
            }

            html.Form(page, "/today/answer", () =>
            {
                html.Hidden("line", block.Advice.Id);
                html.Hidden("some", "yes");
                using (html.In("fieldset"))
                {
                    html.Leaf("legend", page.Say("today.which"));
                    foreach (string label in pager.Of(block.Advice.Grafts))
                    {
                        Graft(html, page, label, open.Contains(label));
                    }
                }

                if (TodayPages.CanAnswer(block.Advice))
                {
                    LineView.Buttons(html, page);
                }
            });
            html.Pager(page, pager);
            html.Link(page.To("/today"), page.Say("today.back"));
        });
    }

    private static void Graft(Html html, PageContext page, string label, bool isOpen)
    {
        using (html.In("div", ("class", "row tick")))
        {
            using (html.In("label"))
            {
                html.Void("input", ("type", "checkbox"), ("name", "graft"), ("value", label), ("disabled", isOpen ? null : string.Empty));
                html.Leaf("span", isOpen ? label : page.Say("today.label-answered", label));
            }

            html.Link(page.To("/saw?graft=" + Uri.EscapeDataString(label)), page.Say("today.saw"));
        }
    }

    private async Task<PageAnswer> AnswerAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        SaidState state = form.Choice("answer", States);
        (GrowerDay? day, _) = await today.LookAsync(page).ConfigureAwait(false);
        string id = form.Raw("line");
        if (!form.IsSound)
        {
            return page.Problem(StatusCodes.Status400BadRequest);
        }

        if (day?.Find(id) is not { } advice || !TodayPages.CanAnswer(advice))
        {
            return Gone(page);
        }

        bool some = form.Raw("some") == "yes";
        IReadOnlyList<NotedAnswer> answers = await today.AnswersAsync(page).ConfigureAwait(false);
        IReadOnlyCollection<string> grafts = some ? form.All("graft") : LineState.Of(advice, day.Round.Now, answers).Open;
        if (grafts.Count == 0)
        {
            return some ? page.Next("/today/line?id=" + Uri.EscapeDataString(id), "said.none-chosen") : page.Next("/today", "said.answered-before");
        }

        return await today.AnswerAsync(page, advice, grafts, state).ConfigureAwait(false) is null
            ? Gone(page)
            : page.Next("/today", state switch
            {
                SaidState.Done => "said.answer-done",
                SaidState.PutOff => "said.answer-put-off",
                _ => "said.answer-not-needed",
            });
    }

    private async Task<PageAnswer> UndoAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        return long.TryParse(form.Raw("answer"), NumberStyles.None, CultureInfo.InvariantCulture, out long id)
            ? After(page, "/today", await today.UndoAnswerAsync(page, id).ConfigureAwait(false))
            : page.Problem(StatusCodes.Status404NotFound);
    }

    private async Task<PageAnswer> ShowSawAsync(PageContext page)
    {
        string label = page.Query("graft");
        IReadOnlyList<Aftercare.Grafts.Graft> grafts = await today.GraftsAsync(page).ConfigureAwait(false);
        return grafts.Any(graft => graft.Label == label) ? ShowSaw(page, label, null) : page.Problem(StatusCodes.Status404NotFound);
    }

    private PageAnswer ShowSaw(PageContext page, string label, string? fault) => page.Show(
        page.Say("saw.title", label),
        html =>
        {
            if (fault is not null)
            {
                html.Leaf("p", fault, ("class", "alarm"), ("role", "alert"), ("lang", page.English()));
            }

            html.Saw(page, label, CoversOf(today));
            html.Link(page.To("/grafts/one?label=" + Uri.EscapeDataString(label)), page.Say("saw.to-graft", label));
        },
        fault is null ? StatusCodes.Status200OK : StatusCodes.Status400BadRequest);

    private async Task<PageAnswer> SawAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string label = form.Raw("graft");
        LocalDate? on = form.Day("on");
        string words = WordsOf(page, form);
        if (!form.IsSound)
        {
            return ShowSaw(page, label, form.Faults.Values.First());
        }

        NotingOutcome outcome = await today.NoteAsync(page, label, words, on).ConfigureAwait(false);
        return outcome switch
        {
            NotingOutcome.Noted or NotingOutcome.Answered => page.Next("/grafts/one?label=" + Uri.EscapeDataString(label), "said.noted"),
            NotingOutcome.Refused { Why: var why } => ShowSaw(page, label, why),
            _ => page.Problem(StatusCodes.Status404NotFound),
        };
    }

    // The length is a number in the grower's unit; every other button says its words itself.
    private static string WordsOf(PageContext page, PageForm form)
    {
        string words = form.Text("saw", 80, required: true);
        if (words != "shoot")
        {
            return words;
        }

        bool inches = page.Grower.Units == UnitSystem.UnitedStates;
        double length = form.Number("length", 0.1, inches ? 236 : 600, required: true);
        return string.Create(CultureInfo.InvariantCulture, $"shoot {length:0.##} {(inches ? "in" : "cm")}");
    }

    private async Task<PageAnswer> UndoSawAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string back = form.Raw("graft") is { Length: > 0 } label ? "/grafts/one?label=" + Uri.EscapeDataString(label) : "/today";
        return long.TryParse(form.Raw("note"), NumberStyles.None, CultureInfo.InvariantCulture, out long note)
            ? After(page, back, await today.UndoNoteAsync(page, note).ConfigureAwait(false))
            : page.Problem(StatusCodes.Status404NotFound);
    }

    private static PageAnswer After(PageContext page, string back, UndoOutcome outcome) => outcome switch
    {
        UndoOutcome.Undone => page.Next(back, "said.taken-back"),
        UndoOutcome.AlreadyUndone => page.Next(back, "said.taken-back-before"),
        UndoOutcome.TooLate => page.Next(back, "said.too-late-to-take-back"),
        UndoOutcome.NotFound => page.Problem(StatusCodes.Status404NotFound),
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    /// <summary>Covers that can be put on, bare excluded.</summary>
    internal static IEnumerable<string> CoversOf(TodayService today) => today.Handbook.Covers.Values.Where(cover => cover.Layers.Count > 0).Select(cover => cover.Key);

    private static WorkBlock? BlockOf(GrowerDay day, string id) =>
        day.Find(id) is null ? null : day.Outline.Work.FirstOrDefault(block => block.Advice.Id == id);

    // The round was computed anew since the page was shown; the work may be done, or read otherwise now.
    private static PageAnswer Gone(PageContext page) => page.Show(
        page.Say("today.gone"),
        html =>
        {
            html.Paragraph(page.Say("today.gone-do"));
            html.Link(page.To("/today"), page.Say("today.back"), "button");
        },
        StatusCodes.Status404NotFound);
}

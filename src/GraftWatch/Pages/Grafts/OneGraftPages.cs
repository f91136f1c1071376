using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Today;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.Grafts;

/// <summary>One graft's own page.</summary>
internal sealed class OneGraftPages(TodayService today) : IPageGroup
{
    private const int HistoryOnPage = 30;

    public void Map(PageRoutes routes) => routes.Get("/grafts/one", Access.Grower, ShowAsync);

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        string label = page.Query("label");
        (GrowerDay? day, IReadOnlyList<string> faults) = await today.LookAsync(page).ConfigureAwait(false);
        if (faults.Count > 0)
        {
            return page.Next("/today");
        }

        IReadOnlyList<Graft> grafts = await today.GraftsAsync(page).ConfigureAwait(false);
        if (grafts.FirstOrDefault(each => each.Label == label) is not { } graft)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        if (day is null)
        {
            return TodayService.Wait(page);
        }

        IReadOnlyList<NotedObservation> notes = await today.Store.Keeper.LoadNotesAsync(page.Grower.Name, page.Stopped).ConfigureAwait(false);
        IReadOnlyList<Aftercare.Advising.SaidBefore> said = await today.Store.Register.LoadSaidAsync(page.Grower.Name, page.Stopped).ConfigureAwait(false);
        IReadOnlyList<NotedAnswer> answers = await today.AnswersAsync(page).ConfigureAwait(false);
        var one = OneGraft.Of(day, graft, notes, said, answers, page.Now);
        bool isFile = today.RegisterFileOf(page.Grower.Name) is not null;
        return page.Show(graft.Label, html =>
        {
            html.Paragraph(string.Join(" · ", new[] { GraftListPages.What(page, graft), GraftListPages.Where(page, graft), graft.Place }.Where(part => part.Length > 0)), "lead");
            if (one.Fault.Length > 0)
            {
                html.Leaf("p", one.Fault, ("class", "alarm"), ("lang", page.English()));
            }

            using (html.In("details", ("id", "saw")))
            {
                html.Leaf("summary", page.Say("graft.saw"));
                html.Saw(page, graft.Label, AnswerPages.CoversOf(today));
            }

            Picture(html, page, one);
            Clock(html, page, one);
            GraftReasonsView.Write(html, page, one);
            What(html, page, one);
            History(html, page, one);
            Doing(html, page, graft, isFile);
        });
    }

    private static void Picture(Html html, PageContext page, OneGraft one)
    {
        html.Leaf("h2", page.Say("graft.ahead"));
        if (DaysAhead.Of(page, one) is not { } picture)
        {
            html.Paragraph(page.Say("picture.nothing"));
            return;
        }

        // Two drawings with letters of one size; the style sheet shows the one the window has room for.
        using (html.In("div", ("class", "picture narrow")))
        {
            html.Drawing(picture.Svg());
        }

        using (html.In("div", ("class", "picture broad")))
        {
            html.Drawing((picture with { Width = 900, TemperatureHeight = 210 }).Svg());
        }

        html.Paragraph(picture.Description, "small");
    }

    private static void Clock(Html html, PageContext page, OneGraft one)
    {
        if (one.Reasons is not { } reasons)
        {
            return;
        }

        html.Leaf("h2", page.Say("graft.clock"));
        using (html.In("dl", ("class", "clock")))
        {
            foreach ((Stage stage, NodaTime.LocalDate from) in one.Past.Where(past => past.Stage <= reasons.Stage.Stage))
            {
                html.Leaf("dt", page.Of(stage), ("class", stage == reasons.Stage.Stage ? "here" : null));
                html.Leaf("dd", page.Say(stage == reasons.Stage.Stage ? "graft.since" : "graft.from", page.Days.Plain(from)));
            }

            foreach (Aftercare.Explaining.StageAhead ahead in reasons.Ahead)
            {
                html.Leaf("dt", page.Of(ahead.Stage));
                string words = ahead is { Likely: { } likely }
                    ? ahead is { Early: { } early, Late: { } late } && early != late
                        ? page.Say("graft.expected-between", page.Days.Plain(likely), page.Days.Plain(early), page.Days.Plain(late))
                        : page.Say("graft.expected", page.Days.Plain(likely))
                    : page.Say("graft.not-said-yet");
                html.Leaf("dd", words);
            }
        }

        string days = page.Figures.Number(reasons.Stage.HealingDays, 1);
        html.Paragraph(page.Say("graft.healing-days", days, page.Days.Plain(one.Graft.Made)), "small");
    }

    private static void What(Html html, PageContext page, OneGraft one)
    {
        Graft graft = one.Graft;
        html.Leaf("h2", page.Say("graft.what"));
        using (html.In("dl"))
        {
            void Fact(string key, string words)
            {
                if (words.Length > 0)
                {
                    html.Leaf("dt", page.Say(key));
                    html.Leaf("dd", words);
                }
            }

            Fact("graft-form.made", page.Days.Plain(graft.Made));
            Fact("graft-form.aspect", $"{page.Compass(graft.AspectDeg)} ({page.Figures.Angle(graft.AspectDeg)})");
            Fact("graft.tilt", graft.TiltDeg > 0 ? page.Figures.Angle(graft.TiltDeg) : page.Say("graft.upright"));
            Fact("graft.height", page.Figures.Length(graft.HeightM));
            Fact("graft.diameter", page.Figures.Thickness(graft.DiameterM));
            if (one.Reasons is { Now: var now })
            {
                Fact("graft-form.cover", now.IsVented ? page.Say("graft.vented", now.Cover) : now.Cover);
                Fact("graft-form.tie", now.Tie);
                Fact("graft-form.seal", now.Seal);
                Fact("graft.shoot", now.ShootM > 0 ? page.Say(now.IsShootEstimated ? "graft.estimated" : "graft.measured", page.Figures.Length(now.ShootM)) : page.Say("graft.none-yet"));
                Fact("graft-form.bbch", now.Bbch?.ToString("00", CultureInfo.InvariantCulture) ?? string.Empty);
                Fact("graft-form.staked", page.Of(now.Support));
            }

            Fact("graft-form.nurse-buds", graft.NurseBuds > 0 ? graft.NurseBuds.ToString(CultureInfo.InvariantCulture) : string.Empty);
            Fact("graft-form.notes", graft.Notes);
            Fact("graft.assumed", string.Join("; ", graft.Assumed));
        }
    }

    private static void History(Html html, PageContext page, OneGraft one)
    {
        html.Leaf("h2", page.Say("graft.history"), ("id", "history"));
        (NodaTime.Instant At, Action<Html> Write)[] lines =
        [
            .. one.Notes.Select(note => (note.Observation.At, (Action<Html>)(into => Note(into, page, note)))),
            .. one.Answers.Select(noted => (noted.Answer.At, (Action<Html>)(into => Answer(into, page, noted)))),
        ];
        if (lines.Length == 0 && one.Said.Count == 0)
        {
            html.Paragraph(page.Say("graft.no-history"));
            return;
        }

        using (html.In("ul", ("class", "plain")))
        {
            foreach ((_, Action<Html> write) in lines.OrderByDescending(line => line.At).Take(HistoryOnPage))
            {
                using (html.In("li", ("class", "row")))
                {
                    write(html);
                }
            }

            foreach (Aftercare.Advising.SaidBefore said in one.Said.OrderByDescending(said => said.FirstSaid).Take(HistoryOnPage))
            {
                html.Leaf("li", page.Say("graft.letter-said", page.Days.Plain(said.FirstSaid), page.Of(said.Action), page.Of(said.LastLevel), page.Of(said.State)));
            }
        }

        if (lines.Length > HistoryOnPage)
        {
            html.Paragraph(page.Say("graft.older", (lines.Length - HistoryOnPage).ToString(CultureInfo.InvariantCulture)), "small");
        }
    }

    private static void Note(Html html, PageContext page, NotedObservation note)
    {
        html.Leaf("span", page.Say("graft.noted", page.Days.At(note.Observation.At), page.Of(note.Observation)));
        if (note.UndoneAt is not null)
        {
            html.Leaf("span", page.Say("today.taken-back"), ("class", "small"));
        }
        else if (page.Now - note.NotedAt <= NodaTime.Duration.FromDays(UndoWindow.Days))
        {
            html.Form(page, "/saw/undo", () =>
            {
                html.Hidden("note", note.Note.ToString(CultureInfo.InvariantCulture));
                html.Hidden("graft", note.Observation.Label);
                html.Button(page.Say("today.undo"), "quiet");
            });
        }
    }

    private static void Answer(Html html, PageContext page, NotedAnswer noted)
    {
        html.Leaf("span", page.Say("graft.answered", page.Days.At(noted.Answer.At), page.Of(noted.Answer.Action), page.Of(noted.Answer.State)));
        if (noted.UndoneAt is not null)
        {
            html.Leaf("span", page.Say("today.taken-back"), ("class", "small"));
        }
    }

    private static void Doing(Html html, PageContext page, Graft graft, bool isFile)
    {
        string label = Uri.EscapeDataString(graft.Label);
        using (html.In("p", ("class", "row no-print")))
        {
            if (isFile)
            {
                html.Leaf("span", page.Say("grafts.in-file"));
                return;
            }

            html.Link(page.To("/grafts/change?label=" + label), page.Say("graft.change"), "button second");
            html.Link(page.To("/grafts/add?like=" + label), page.Say("graft.add-like"), "button second");
            html.Link(page.To("/grafts/remove?label=" + label), page.Say("graft.remove"));
        }
    }
}

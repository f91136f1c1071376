using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;

namespace GraftWatch.Pages.FirstStart;

/// <summary>Everything once more, then the settings are written and the daemon goes on with them.</summary>
internal sealed class FinishPages(FirstStartDesk desk, FirstStartWriting writing) : IPageGroup
{
    private const string Path = "/first-start/finish";

    // The browser has this long to fetch the last page; then the daemon takes over in any case.
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    public void Map(PageRoutes routes)
    {
        routes.Get(Path, Access.Anyone, FirstStartSteps.Inside(desk, page => Task.FromResult(desk.Draft.NextStep == Path ? Form(page, []) : page.Next(desk.Draft.NextStep))));
        routes.Post(Path, Access.Anyone, FirstStartSteps.Inside(desk, WriteAsync));
        routes.Get("/first-start/done", Access.Anyone, page => Task.FromResult(desk.IsIn(page.Http) && desk.IsWritten ? Done(page) : page.Next("/")));
    }

    private PageAnswer Form(PageContext page, IReadOnlyList<string> faults) => FirstStartSteps.Show(page, "first.finish", html =>
    {
        html.Paragraph(page.Say("first.finish-how", writing.SettingsPath), "lead");
        if (faults.Count > 0)
        {
            using (html.In("div", ("class", "alarm"), ("role", "alert")))
            {
                html.Paragraph(page.Say("first.finish-failed"));
                foreach (string fault in faults.Take(20))
                {
                    html.Leaf("p", fault, ("lang", "en"));
                }
            }
        }

        Answers(html, page, desk.Draft);
        html.Form(page, Path, () => html.Button(page.Say("first.write")));
    });

    private static void Answers(Html html, PageContext page, FirstStartDraft draft)
    {
        FirstGrower grower = draft.Grower!;
        using (html.In("dl"))
        {
            html.Leaf("dt", page.Say("operator.place")).Leaf("dd", $"{draft.PlaceName}, {page.Figures.Angle(draft.Spot!.LatitudeDeg, 4)} {page.Figures.Angle(draft.Spot.LongitudeDeg, 4)}, {page.Figures.Elevation(draft.Spot.ElevationM)}");
            html.Leaf("dt", page.Say("operator.zone")).Leaf("dd", page.Say("first.zone-now", draft.Spot.Zone.Id, new Days(page.Language, draft.Spot.Zone).Hour(page.Now)));
            html.Leaf("dt", page.Say("operator.letters-leave")).Leaf("dd", draft.Mail is { } mail ? page.Say("operator.letters-by", mail.Host) : page.Say("first.as-files"));
            html.Leaf("dt", page.Say("operator.name")).Leaf("dd", $"{grower.Name}, {grower.Address}");
            html.Leaf("dt", page.Say("operator.hour")).Leaf("dd", Days.Hour(grower.Hour));
            html.Leaf("dt", page.Say("operator.register")).Leaf("dd", page.Count("operator.graft-count", draft.Grafts.Count));
        }
    }

    private async Task<PageAnswer> WriteAsync(PageContext page)
    {
        if (desk.Draft.NextStep != Path)
        {
            return page.Next(desk.Draft.NextStep);
        }

        IReadOnlyList<string> faults = await writing.WriteAsync(desk.Draft, PageCookies.Session(page.Http)!, page.Now).ConfigureAwait(false);
        if (faults.Count > 0)
        {
            return Form(page, faults);
        }

        desk.IsWritten = true;
        _ = Task.Delay(Patience, CancellationToken.None).ContinueWith(_ => desk.Finish(), TaskScheduler.Default);
        return page.Next("/first-start/done");
    }

    private PageAnswer Done(PageContext page)
    {
        FirstGrower grower = desk.Draft.Grower!;
        DueLetter next = LetterSchedule.NextDue(new Grower(grower.Name, grower.Address, desk.Draft.Spot!.Zone, grower.Hour, grower.Units, []), page.Now);
        page.Http.Response.OnCompleted(() =>
        {
            desk.Finish();
            return Task.CompletedTask;
        });
        return page.Show(page.Say("first.done"), html =>
        {
            html.Paragraph(page.Say("first.done-how", new Days(page.Language, desk.Draft.Spot.Zone).At(next.At)), "lead");
            html.Paragraph(page.Say("first.done-next"));
            html.Link(page.To("/operator"), page.Say("first.go-on"), "button");
        });
    }
}

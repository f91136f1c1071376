using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.FromLetters;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.People;

/// <summary>Everything about the visitor: letters, wishes, places, ways, calendar, devices, and the way out.</summary>
internal sealed class YouPages(RecordsStore store, GrowerDirectory directory, CalendarFeed feed) : IPageGroup
{
    public IReadOnlyList<MenuEntry> Menu => [new("you.menu", "/you", Access.SignedIn, 90)];

    public void Map(PageRoutes routes)
    {
        routes.Get("/you", Access.SignedIn, ShowAsync);
        routes.Post("/you/language", Access.SignedIn, LanguageAsync);
        routes.Post("/you/stop", Access.Grower, StopAsync);
        routes.Post("/you/resume", Access.Grower, ResumeAsync);
        routes.Post("/you/calendar", Access.Grower, RenewCalendarAsync);
        routes.Post("/you/calendar/close", Access.Grower, CloseCalendarAsync);
        routes.Post("/you/devices/end", Access.SignedIn, EndDeviceAsync);
    }

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        SignedIn who = page.Who!;
        IReadOnlyList<PageSession> sessions = await store.People.LoadSessionsAsync(who.Address, page.Now, page.Stopped).ConfigureAwait(false);
        GrowerView? view = who.Grower is { } grower ? await ViewAsync(page, grower).ConfigureAwait(false) : null;
        return page.Show(page.Say("you.title"), html =>
        {
            if (view is null)
            {
                html.Paragraph(page.Say("you.no-grafts"), "lead");
                html.Link(page.To("/subscribe/place"), page.Say("subscribe.place"), "button");
            }
            else
            {
                Letters(html, page, view);
                Wishes(html, page, view);
                Places(html, page, view);
                Ways(html, page, view);
                Calendar(html, page, view);
            }

            Language(html, page);
            Devices(html, page, sessions);
            WayOut(html, page, view);
        });
    }

    private async Task<GrowerView> ViewAsync(PageContext page, Grower grower) => new(
        grower,
        await store.Stops.FindStopAsync(grower.Name, page.Stopped).ConfigureAwait(false),
        await directory.PlacesOfAsync(grower, page.Stopped).ConfigureAwait(false),
        await WayPages.WaysAsync(store, page).ConfigureAwait(false),
        await feed.PathOfAsync(grower.Name, page.Stopped).ConfigureAwait(false));

    private static void Letters(Html html, PageContext page, GrowerView view)
    {
        html.Leaf("h2", page.Say("you.letters"));
        if (view.Stop is { } stop)
        {
            html.Paragraph(page.Say(stop.By == StoppedBy.Operator ? "you.stopped-operator" : "you.stopped", page.Days.At(stop.At)), "alarm");
            if (stop.By == StoppedBy.Grower)
            {
                html.Form(page, "/you/resume", () => html.Button(page.Say("you.resume")));
            }

            return;
        }

        html.Paragraph(page.Say("you.letters-go", page.Who!.Address, Days.Hour(view.Grower.LetterTime)));
        using (html.In("div", ("class", "row")))
        {
            html.Form(page, "/you/stop", () => html.Button(page.Say("you.stop"), "second"));
            if (!page.Who.IsKeptInFile)
            {
                html.Link(page.To("/you/address"), page.Say("address.title"), "button second");
            }
        }
    }

    private static void Wishes(Html html, PageContext page, GrowerView view)
    {
        Grower grower = view.Grower;
        html.Leaf("h2", page.Say("profile.title"));
        using (html.In("dl"))
        {
            Fact(html, page.Say("subscribe.name"), grower.Name);
            Fact(html, page.Say("profile.hour"), Days.Hour(grower.LetterTime));
            Fact(html, page.Say("profile.units"), page.Say("profile.units-" + ProfileFields.Units.First(unit => unit.Value == grower.Units).Word));
            Fact(html, page.Say("profile.urgent"), page.Say(grower.Urgent.Count > 0 ? "you.yes" : "you.no"));
            if (grower.Wishes is { HoldFrom: { } from, HoldUntil: { } until })
            {
                Fact(html, page.Say("profile.hold"), Days.Hour(from) + " – " + Days.Hour(until));
            }
        }

        if (page.Who!.IsKeptInFile)
        {
            html.Paragraph(page.Say("you.in-file"), "small");
        }
        else
        {
            html.Link(page.To("/you/profile"), page.Say("you.change"), "button second");
        }
    }

    private static void Places(Html html, PageContext page, GrowerView view)
    {
        html.Leaf("h2", page.Say("you.places"));
        using (html.In("ul"))
        {
            foreach (Place place in view.Places)
            {
                using (html.In("li"))
                {
                    html.Text($"{place.Name}: {page.Figures.Number(place.Site.LatitudeDeg, 3)}, {page.Figures.Number(place.Site.LongitudeDeg, 3)}, {page.Figures.Elevation(place.Site.ElevationM)}, {place.Zone.Id} ");
                    if (!page.Who!.IsKeptInFile)
                    {
                        html.Link(page.To("/you/place?name=" + Uri.EscapeDataString(place.Name)), page.Say("you.change-place", place.Name));
                    }
                }
            }
        }

        if (!page.Who!.IsKeptInFile)
        {
            html.Link(page.To("/you/place"), page.Say("you.add-place"), "button second");
        }
    }

    private static void Ways(Html html, PageContext page, GrowerView view)
    {
        html.Leaf("h2", page.Say("ways.title"));
        if (page.Who!.IsKeptInFile)
        {
            html.Paragraph(page.Say("ways.in-file", string.Join(", ", view.Grower.Morning), view.Grower.Urgent.Count == 0 ? page.Say("you.no") : string.Join(", ", view.Grower.Urgent)));
            return;
        }

        using (html.In("ul"))
        {
            foreach (GrowerChannel way in view.Ways)
            {
                html.Leaf("li", page.Say(WayPages.Sentence(way), way.Name, way.Target));
            }
        }

        html.Link(page.To("/you/ways"), page.Say("ways.change"), "button second");
    }

    private static void Calendar(Html html, PageContext page, GrowerView view)
    {
        html.Leaf("h2", page.Say("you.calendar"));
        html.Paragraph(page.Say("you.calendar-how"));
        if (!view.Grower.Calendar)
        {
            html.Paragraph(page.Say(page.Who!.IsKeptInFile ? "you.calendar-off-in-file" : "you.calendar-off", page.Say("profile.calendar")), "alarm");
        }

        if (view.FeedPath is { } path)
        {
            string address = page.Site.PublicAddress is { } site ? site.GetLeftPart(UriPartial.Authority) + page.To(path) : page.To(path);
            using (html.In("p"))
            {
                html.Link(page.To(path), address);
            }

            using (html.In("div", ("class", "row")))
            {
                html.Form(page, "/you/calendar", () => html.Button(page.Say("you.calendar-renew"), "second"));
                html.Form(page, "/you/calendar/close", () => html.Button(page.Say("you.calendar-close"), "second"));
            }

            return;
        }

        html.Form(page, "/you/calendar", () => html.Button(page.Say("you.calendar-open"), "second"));
    }

    private static void Language(Html html, PageContext page)
    {
        html.Leaf("h2", page.Say("profile.language"));
        html.Form(page, "/you/language", () =>
        {
            using (html.In("div", ("class", "row")))
            {
                foreach (PageLanguage language in Enum.GetValues<PageLanguage>())
                {
                    html.Button(page.Say("profile.language-" + language.Tag()), language == page.Language ? null : "second", "language", language.Tag());
                }
            }
        });
    }

    private static void Devices(Html html, PageContext page, IReadOnlyList<PageSession> sessions)
    {
        html.Leaf("h2", page.Say("you.devices"));
        using (html.In("ul"))
        {
            foreach (PageSession session in sessions)
            {
                using (html.In("li"))
                {
                    string device = session.Device.Length > 0 ? session.Device : page.Say("you.device-unknown");
                    html.Text(page.Say(session.Id == page.Who!.Session ? "you.device-this" : "you.device", device, page.Days.At(session.SeenAt)));
                    html.Form(page, "/you/devices/end", () =>
                    {
                        html.Hidden("session", session.Id.ToString(System.Globalization.CultureInfo.InvariantCulture));
                        html.Button(page.Say("you.device-end"), "quiet");
                    });
                }
            }
        }

        if (sessions.Count > 0)
        {
            html.Form(page, "/you/devices/end", () => html.Button(page.Say("you.devices-end"), "second"));
        }
    }

    private static void WayOut(Html html, PageContext page, GrowerView? view)
    {
        html.Leaf("h2", page.Say("leave.title"));
        if (view is not null)
        {
            using (html.In("ul"))
            {
                using (html.In("li"))
                {
                    html.Link(page.To("/you/export/archive.json"), page.Say("leave.archive"));
                }

                using (html.In("li"))
                {
                    html.Link(page.To("/you/export/register.csv"), page.Say("leave.register"));
                }
            }
        }

        html.Link(page.To("/you/delete"), page.Say("leave.delete"), "button second");
    }

    private static void Fact(Html html, string name, string value) => html.Leaf("dt", name).Leaf("dd", value);

    private async Task<PageAnswer> LanguageAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        if (PageLanguages.Find(form.Raw("language")) is { } language)
        {
            Person person = await store.People.FindAsync(page.Who!.Address, page.Stopped).ConfigureAwait(false) ?? new Person(page.Who.Address, null, null, null);
            await store.People.SaveAsync(person with { Language = language.Tag() }, page.Stopped).ConfigureAwait(false);
        }

        return page.Next("/you");
    }

    private async Task<PageAnswer> StopAsync(PageContext page)
    {
        await store.Stops.StopAsync(page.Grower.Name, StoppedBy.Grower, page.Now, page.Stopped).ConfigureAwait(false);
        return page.Next("/you", "said.stopped");
    }

    private async Task<PageAnswer> ResumeAsync(PageContext page)
    {
        // What the operator stopped is the operator's to start again.
        if (await store.Stops.FindStopAsync(page.Grower.Name, page.Stopped).ConfigureAwait(false) is { By: StoppedBy.Operator })
        {
            return page.Problem(StatusCodes.Status403Forbidden);
        }

        await store.Stops.ResumeAsync(page.Grower.Name, page.Stopped).ConfigureAwait(false);
        return page.Next("/you", "said.started-again");
    }

    private async Task<PageAnswer> RenewCalendarAsync(PageContext page)
    {
        await store.Feeds.RenewAsync(page.Grower.Name, page.Now, page.Stopped).ConfigureAwait(false);
        return page.Next("/you", "said.calendar");
    }

    private async Task<PageAnswer> CloseCalendarAsync(PageContext page)
    {
        await store.Feeds.CloseAsync(page.Grower.Name, page.Now, page.Stopped).ConfigureAwait(false);
        return page.Next("/you", "said.calendar-closed");
    }

    private async Task<PageAnswer> EndDeviceAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string which = form.Raw("session");
        long? session = which.Length == 0 ? null : long.TryParse(which, System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out long id) ? id : -1;
        await store.People.EndSessionsAsync(page.Who!.Address, session, page.Now, page.Stopped).ConfigureAwait(false);
        return page.Next("/you", "said.device-ended");
    }

    private sealed record GrowerView(Grower Grower, GrowerStop? Stop, IReadOnlyList<Place> Places, IReadOnlyList<GrowerChannel> Ways, string? FeedPath);
}

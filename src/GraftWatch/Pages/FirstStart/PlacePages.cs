using System.Globalization;
using GraftWatch.Pages.Operator;
using GraftWatch.Pages.People;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using NodaTime;
using NodaTime.TimeZones;

namespace GraftWatch.Pages.FirstStart;

/// <summary>Where the grafts stand.</summary>
internal sealed class PlacePages(FirstStartDesk desk, PlaceFinder finder) : IPageGroup
{
    private const string Path = "/first-start/place";

    public void Map(PageRoutes routes)
    {
        routes.Get(Path, Access.Anyone, FirstStartSteps.Inside(desk, page => Task.FromResult(Form(page, Fresh(page)))));
        routes.Post(Path, Access.Anyone, FirstStartSteps.Inside(desk, KeepAsync));
    }

    private PageForm Fresh(PageContext page)
    {
        PageForm form = PageForm.Fresh(page).With("place", desk.Draft.PlaceName ?? page.Say("first.place-usual"));
        return desk.Draft.Spot is not { } spot
            ? form
            : form.With("where", string.Create(CultureInfo.InvariantCulture, $"{spot.LatitudeDeg:0.#####}, {spot.LongitudeDeg:0.#####}"))
                .With("elevation", spot.ElevationM.ToString("0.#", CultureInfo.InvariantCulture)).With("zone", spot.Zone.Id);
    }

    private static PageAnswer Form(PageContext page, PageForm form, PlaceLook? look = null) => FirstStartSteps.Show(page, "first.place", html =>
    {
        html.Paragraph(page.Say("first.place-how"), "lead");
        html.FaultSummary(page, form);
        html.Form(page, Path, () =>
        {
            PlaceFinder.Write(html, page, form, look, Path);
            html.TextField(form, "where", page.Say("operator.where"), new FieldLook(page.Say("operator.where-how"), IsRequired: true, Limit: 2000));
            html.Leaf("button", page.Say("first.locate"), ("type", "button"), ("class", "second"), ("data-locate", string.Empty), ("data-locate-failed", page.Say("first.locate-failed")), ("hidden", string.Empty));
            html.TextField(form, "elevation", page.Say("operator.elevation"), new FieldLook(page.Say("operator.elevation-how"), InputMode: "decimal", Limit: 8));
            Zone(html, page, form);
            html.TextField(form, "place", page.Say("operator.place-name"), new FieldLook(page.Say("first.place-name-how"), IsRequired: true, Limit: 60));
            html.Button(page.Say("first.next"));
        });
    });

    // A list to pick from while typing: the browser searches it.
    private static void Zone(Html html, PageContext page, PageForm form)
    {
        using (html.In("div", ("class", form.Faults.ContainsKey("zone") ? "field wrong" : "field")))
        {
            html.Leaf("label", page.Say("operator.zone"), ("for", "f-zone"));
            html.Leaf("p", MachineZone() is { } machine ? page.Say("first.zone-machine", machine.Id) : page.Say("operator.zone-how"), ("class", "hint"), ("id", "h-zone"));
            html.Void("input", ("type", "text"), ("id", "f-zone"), ("name", "zone"), ("value", form.Raw("zone")), ("list", "zones"), ("autocomplete", "off"), ("maxlength", "60"), ("aria-describedby", form.Faults.ContainsKey("zone") ? "h-zone w-zone" : "h-zone"));
            if (form.Faults.TryGetValue("zone", out string? why))
            {
                html.Leaf("p", why, ("class", "fault"), ("id", "w-zone"));
            }

            using (html.In("datalist", ("id", "zones")))
            {
                foreach (string zone in ZoneGuess.All)
                {
                    html.Void("option", ("value", zone));
                }
            }
        }
    }

    private async Task<PageAnswer> KeepAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        if (await finder.AnswerAsync(page, form, SpotFields.WriteElevation).ConfigureAwait(false) is { } look)
        {
            return Form(page, form, look);
        }

        string name = form.Text("place", 60, required: true);
        Spot? spot = SpotFields.Read(page, form, MachineZone() is { } machine ? [machine] : []);
        if (spot is null)
        {
            return Form(page, form);
        }

        // A register that was read against another name of the place must be read again.
        bool moved = desk.Draft.PlaceName is { } before && before != name;
        desk.Draft = desk.Draft with { PlaceName = name, Spot = spot, Grafts = moved ? [] : desk.Draft.Grafts, KnowsRegister = !moved && desk.Draft.KnowsRegister };
        return page.Next(desk.Draft.NextStep);
    }

    private static DateTimeZone? MachineZone()
    {
        try
        {
            DateTimeZone zone = DateTimeZoneProviders.Tzdb.GetSystemDefault();
            return zone.Id.Contains('/', StringComparison.Ordinal) && !zone.Id.StartsWith("Etc/", StringComparison.Ordinal) ? zone : null;
        }
        catch (DateTimeZoneNotFoundException)
        {
            return null;
        }
    }
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters;
using GraftWatch.Letters.Links;
using GraftWatch.Pages.People;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using NodaTime;
using Ground = GraftWatch.Microclimate.Sites.Site;

namespace GraftWatch.Pages.Operator;

/// <summary>Adds a grower to the store's book: a name, an address, a place that is known or new.</summary>
internal sealed class NewGrowerPages(GrowersInForce growers, RecordsStore store, PlaceFinder finder) : IPageGroup
{
    private const string NewPlace = "";
    private static readonly (string Word, UnitSystem Value)[] Units = [("metric", UnitSystem.Metric), ("us", UnitSystem.UnitedStates)];

    public void Map(PageRoutes routes)
    {
        routes.Get("/operator/growers/new", Access.Operator, async page => Form(page, PageForm.Fresh(page).With("hour", "06:00").With("units", "metric"), await growers.LoadAsync(page.Stopped).ConfigureAwait(false)));
        routes.Post("/operator/growers/new", Access.Operator, AddAsync);
    }

    private static PageAnswer Form(PageContext page, PageForm form, InForce inForce, PlaceLook? look = null) => OperatorView.Show(page, page.Say("operator.add"), html =>
    {
        html.Paragraph(page.Say("operator.add-how"), "lead");
        html.FaultSummary(page, form);
        html.Form(page, "/operator/growers/new", () =>
        {
            html.TextField(form, "name", page.Say("operator.name"), new FieldLook(page.Say("operator.name-how"), IsRequired: true, Limit: 80));
            html.TextField(form, "address", page.Say("operator.address"), new FieldLook(Type: "email", IsRequired: true, Limit: 254));
            html.TextField(form, "hour", page.Say("operator.hour"), new FieldLook(Type: "time", IsRequired: true));
            html.ChoiceField(form, "units", page.Say("operator.units"), Units.Select(unit => (unit.Word, page.Say("operator.units-" + unit.Word))));
            string[] known = [.. inForce.Morning.Places.Keys.Order(StringComparer.OrdinalIgnoreCase).Take(500)];
            html.ChoiceField(form, "known", page.Say("operator.place"), [(NewPlace, page.Say("operator.new-place")), .. known.Select(name => (name, name))], page.Say("operator.place-how"));
            using (html.In("fieldset"))
            {
                html.Leaf("legend", page.Say("operator.new-place"));
                PlaceFinder.Write(html, page, form, look, "/operator/growers/new");
                html.TextField(form, "place", page.Say("operator.place-name"), new FieldLook(Limit: 60));
                html.TextField(form, "where", page.Say("operator.where"), new FieldLook(page.Say("operator.where-how"), Limit: 2000));
                html.TextField(form, "elevation", page.Say("operator.elevation"), new FieldLook(page.Say("operator.elevation-how"), InputMode: "decimal", Limit: 8));
                html.TextField(form, "zone", page.Say("operator.zone"), new FieldLook(page.Say("operator.zone-how"), Limit: 60));
            }

            html.Button(page.Say("operator.add-button"));
        });
    });

    private async Task<PageAnswer> AddAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        InForce inForce = await growers.LoadAsync(page.Stopped).ConfigureAwait(false);
        if (await finder.AnswerAsync(page, form, SpotFields.WriteElevation).ConfigureAwait(false) is { } look)
        {
            return Form(page, form, inForce, look);
        }

        string name = ReadName(page, form, inForce);
        string address = ReadAddress(page, form, inForce);
        LocalTime hour = form.Time("hour", required: true) ?? default;
        UnitSystem units = form.Choice("units", Units);
        Place? place = form.Raw("known") is { Length: > 0 } known ? Known(page, form, inForce, known) : ReadPlace(page, form, inForce);
        if (!form.IsSound || place is null)
        {
            return Form(page, form, inForce);
        }

        Place? added = inForce.Morning.Places.ContainsKey(place.Name) ? null : place;
        switch (await store.Book.JoinAsync(new Joining(new Grower(name, address, place.Zone, hour, units, [place.Name]), added, [], null), page.Stopped).ConfigureAwait(false))
        {
            case JoinOutcome.NameTaken:
                return Form(page, form.Fault("name", page.Say("operator.name-taken")), inForce);
            case JoinOutcome.AddressTaken:
                return Form(page, form.Fault("address", page.Say("operator.address-taken")), inForce);
            case JoinOutcome.PlaceTaken:
                return Form(page, form.Fault("place", page.Say("operator.place-taken")), inForce);
            default:
                return page.Next(OperatorView.PathOf(name), "said.grower-added");
        }
    }

    private static string ReadName(PageContext page, PageForm form, InForce inForce)
    {
        string name = form.Text("name", 80, required: true);
        if (inForce.Find(name) is not null)
        {
            form.Fault("name", page.Say("operator.name-taken"));
        }
        else if (!ActionLinks.CanHold(name))
        {
            form.Fault("name", page.Say("form.too-long", "80"));
        }

        return name;
    }

    private static string ReadAddress(PageContext page, PageForm form, InForce inForce)
    {
        string address = form.Text("address", 254, required: true).ToLowerInvariant();
        if (address.Length > 0 && MailAddresses.Check(address) is not null)
        {
            form.Fault("address", page.Say("entry.no-address"));
        }
        else if (inForce.Growers.Any(grower => string.Equals(grower.Address, address, StringComparison.OrdinalIgnoreCase)))
        {
            form.Fault("address", page.Say("operator.address-taken"));
        }

        return address;
    }

    private static Place? Known(PageContext page, PageForm form, InForce inForce, string name)
    {
        if (inForce.Morning.Places.GetValueOrDefault(name) is { } place)
        {
            return place;
        }

        form.Fault("known", page.Say("form.no-choice"));
        return null;
    }

    private static Place? ReadPlace(PageContext page, PageForm form, InForce inForce)
    {
        string name = form.Text("place", 60, required: true);
        if (inForce.Morning.Places.ContainsKey(name))
        {
            form.Fault("place", page.Say("operator.place-taken"));
        }

        return SpotFields.Read(page, form, inForce.Morning.Places.Values.Select(known => known.Zone)) is { } spot && form.IsSound
            ? new Place(name, new Ground { LatitudeDeg = spot.LatitudeDeg, LongitudeDeg = spot.LongitudeDeg, ElevationM = spot.ElevationM }, spot.Zone) { Assumed = [page.Say("operator.assumed", name)] }
            : null;
    }
}

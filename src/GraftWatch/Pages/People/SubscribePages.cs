using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters.Links;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>Subscribing: an address, its confirmation by mail, then the place and the wishes.</summary>
internal sealed class SubscribePages(SignInPages entry, GrowerDirectory directory, PlaceFinder finder, RecordsStore store) : IPageGroup
{
    private const int NameLimit = 60;

    public void Map(PageRoutes routes)
    {
        routes.Get("/subscribe", Access.Anyone, page => Task.FromResult(page.Site.IsOpen ? AddressForm(page, PageForm.Fresh(page)) : Closed(page)));
        routes.Post("/subscribe", Access.Anyone, page => page.Site.IsOpen ? entry.AskAsync(page, EntryPurpose.Subscribe, AddressForm) : Task.FromResult(Closed(page)));
        routes.Get("/subscribe/place", Access.SignedIn, page => Task.FromResult(ShowPlace(page)));
        routes.Post("/subscribe/place", Access.SignedIn, KeepAsync);
    }

    private static PageAnswer AddressForm(PageContext page, PageForm form) => page.Show(page.Say("subscribe.title"), html =>
    {
        html.Paragraph(page.Say("subscribe.what"), "lead");
        html.FaultSummary(page, form);
        html.Form(page, "/subscribe", () =>
        {
            html.TextField(form, "address", page.Say("entry.address"), new FieldLook(Type: "email", AutoComplete: "email", IsRequired: true, Limit: 254));
            html.Button(page.Say("subscribe.ask"));
        });
        html.Paragraph(page.Say("subscribe.kept"), "small");
    });

    private static PageAnswer Closed(PageContext page) => page.Show(
        page.Say("subscribe.closed"), html => html.Paragraph(page.Say("subscribe.closed-how"), "lead"), StatusCodes.Status403Forbidden);

    private static PageAnswer ShowPlace(PageContext page) => page.Who!.Grower is not null
        ? page.Next("/you")
        : PlaceForm(page, ProfileFields.Fresh(PageForm.Fresh(page), page.Language));

    private static PageAnswer PlaceForm(PageContext page, PageForm form, PlaceLook? look = null) => page.Show(page.Say("subscribe.place"), html =>
    {
        html.Paragraph(page.Say("subscribe.place-how"), "lead");
        html.FaultSummary(page, form);
        html.Form(page, "/subscribe/place", () =>
        {
            html.TextField(form, "name", page.Say("subscribe.name"), new FieldLook(page.Say("subscribe.name-how"), AutoComplete: "name", IsRequired: true, Limit: NameLimit));
            html.Leaf("h2", page.Say("place.title"));
            PlaceFields.Write(html, page, form, "/subscribe/place", mayRename: true, look);
            html.Leaf("h2", page.Say("profile.title"));
            ProfileFields.Write(html, page, form);
            html.Button(page.Say("subscribe.keep"));
        });
    });

    private async Task<PageAnswer> KeepAsync(PageContext page)
    {
        if (page.Who is not { } who || who.Grower is not null)
        {
            return page.Next("/you");
        }

        if (!page.Site.IsOpen && !who.IsOperator)
        {
            return Closed(page);
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        if (await finder.AnswerAsync(page, form, PlaceFields.WriteElevation).ConfigureAwait(false) is { } look)
        {
            return PlaceForm(page, form, look);
        }

        string name = form.Text("name", NameLimit, required: true);
        if (name.Length > 0 && !ActionLinks.CanHold(name))
        {
            form.Fault("name", page.Say("form.controls"));
        }

        Place? place = PlaceFields.Read(page, form, ProfileFields.UnitsOf(form), before: null);
        Profile profile = ProfileFields.Read(page, form, new Grower(name, who.Address, place?.Zone ?? DateTimeZone.Utc, new LocalTime(6, 0), UnitSystem.Metric, place is null ? [] : [place.Name]));
        await RefuseTakenAsync(page, form, name, place).ConfigureAwait(false);
        if (!form.IsSound || place is null)
        {
            // The same form sent twice finds its own names taken.
            bool isIn = await directory.FindByAddressAsync(who.Address, page.Stopped).ConfigureAwait(false) is not null;
            return isIn ? page.Next("/you") : PlaceForm(page, form);
        }

        Person person = await store.People.FindAsync(who.Address, page.Stopped).ConfigureAwait(false) ?? new Person(who.Address, null, null, null);
        var joining = new Joining(
            profile.Grower, place, [new GrowerChannel(LetterSlot.Mail, GrowerChannelKinds.Mail, who.Address, Morning: true, profile.Urgent)], person with { Language = profile.Language });
        switch (await store.Book.JoinAsync(joining, page.Stopped).ConfigureAwait(false))
        {
            case JoinOutcome.NameTaken:
                form.Fault("name", page.Say("subscribe.name-taken"));
                return PlaceForm(page, form);
            case JoinOutcome.PlaceTaken:
                form.Fault("place", page.Say("place.taken", place.Name + ", " + name));
                return PlaceForm(page, form);
            case JoinOutcome.AddressTaken:
                return page.Next("/you");
            default:
                return page.Next("/you", "said.subscribed");
        }
    }

    /// <summary>Names of growers and places are one to a store: letters and links find them by it.</summary>
    private async Task RefuseTakenAsync(PageContext page, PageForm form, string name, Place? place)
    {
        if (name.Length > 0 && await directory.FindByNameAsync(name, page.Stopped).ConfigureAwait(false) is not null)
        {
            form.Fault("name", page.Say("subscribe.name-taken"));
        }

        if (place is not null && await directory.IsPlaceTakenAsync(place.Name, page.Stopped).ConfigureAwait(false))
        {
            form.Fault("place", page.Say("place.taken", place.Name + ", " + name));
        }
    }
}

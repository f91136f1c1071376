using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.People;

/// <summary>Changing one's wishes and places. Who stands in graftwatch.toml is the operator's to change.</summary>
internal sealed class ProfilePages(RecordsStore store, GrowerDirectory directory, PlaceFinder finder) : IPageGroup
{
    /// <summary>Places one grower may have.</summary>
    internal const int MostPlaces = 20;

    public void Map(PageRoutes routes)
    {
        routes.Get("/you/profile", Access.Grower, ShowProfileAsync);
        routes.Post("/you/profile", Access.Grower, KeepProfileAsync);
        routes.Get("/you/place", Access.Grower, ShowPlaceAsync);
        routes.Post("/you/place", Access.Grower, KeepPlaceAsync);
    }

    private static PageAnswer ProfileForm(PageContext page, PageForm form) => page.Show(page.Say("profile.title"), html =>
    {
        html.FaultSummary(page, form);
        html.Form(page, "/you/profile", () =>
        {
            ProfileFields.Write(html, page, form);
            html.Button(page.Say("you.keep"));
        });
    });

    private static PageAnswer PlaceForm(PageContext page, PageForm form, string? name, PlaceLook? look = null) => page.Show(name ?? page.Say("you.add-place"), html =>
    {
        html.FaultSummary(page, form);
        html.Form(page, "/you/place", () =>
        {
            if (name is not null)
            {
                html.Hidden("name", name);
            }

            PlaceFields.Write(html, page, form, "/you/place", mayRename: name is null, look);
            html.Button(page.Say("you.keep"));
        });
    });

    private async Task<PageAnswer> ShowProfileAsync(PageContext page)
    {
        if (page.Who!.IsKeptInFile)
        {
            return page.Next("/you");
        }

        return ProfileForm(page, ProfileFields.Show(PageForm.Fresh(page), page.Grower, await IsUrgentByMailAsync(page).ConfigureAwait(false), page.Language));
    }

    private async Task<bool> IsUrgentByMailAsync(PageContext page) =>
        (await WayPages.WaysAsync(store, page).ConfigureAwait(false)).Any(way => way is { Kind: GrowerChannelKinds.Mail, Urgent: true });

    private async Task<PageAnswer> KeepProfileAsync(PageContext page)
    {
        if (page.Who!.IsKeptInFile)
        {
            return page.Problem(StatusCodes.Status403Forbidden);
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        Profile profile = ProfileFields.Read(page, form, page.Grower);
        if (!form.IsSound)
        {
            return ProfileForm(page, form);
        }

        await store.Book.SaveGrowerAsync(profile.Grower, page.Stopped).ConfigureAwait(false);
        IReadOnlyList<GrowerChannel> ways = await WayPages.WaysAsync(store, page).ConfigureAwait(false);
        await store.Book.SaveChannelsAsync(page.Grower.Name, [.. ways.Select(way => way.Kind == GrowerChannelKinds.Mail ? way with { Urgent = profile.Urgent } : way)], page.Stopped).ConfigureAwait(false);
        Person person = await store.People.FindAsync(page.Who.Address, page.Stopped).ConfigureAwait(false) ?? new Person(page.Who.Address, null, null, null);
        await store.People.SaveAsync(person with { Language = profile.Language }, page.Stopped).ConfigureAwait(false);
        return page.Next("/you", "said.kept");
    }

    private async Task<PageAnswer> ShowPlaceAsync(PageContext page)
    {
        if (page.Who!.IsKeptInFile)
        {
            return page.Next("/you");
        }

        string name = page.Query("name", 60);
        if (name.Length == 0)
        {
            return PlaceForm(page, PageForm.Fresh(page).With("shelter", "open"), null);
        }

        return await OwnPlaceAsync(page, name).ConfigureAwait(false) is not { } place ? page.Problem(StatusCodes.Status404NotFound)
            : await directory.IsPlaceSharedAsync(name, page.Grower.Name, page.Stopped).ConfigureAwait(false) ? Shared(page, name)
            : PlaceForm(page, PlaceFields.Show(PageForm.Fresh(page), place, page.Grower.Units), place.Name);
    }

    private async Task<PageAnswer> KeepPlaceAsync(PageContext page)
    {
        if (page.Who!.IsKeptInFile)
        {
            return page.Problem(StatusCodes.Status403Forbidden);
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string name = form.Raw("name");
        Place? before = name.Length == 0 ? null : await OwnPlaceAsync(page, name).ConfigureAwait(false);
        if (name.Length > 0 && before is null)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        if (before is not null && await directory.IsPlaceSharedAsync(before.Name, page.Grower.Name, page.Stopped).ConfigureAwait(false))
        {
            return Shared(page, before.Name);
        }

        if (await finder.AnswerAsync(page, form, PlaceFields.WriteElevation).ConfigureAwait(false) is { } look)
        {
            return PlaceForm(page, form, before?.Name, look);
        }

        Place? place = PlaceFields.Read(page, form, page.Grower.Units, before);
        if (place is not null && before is null)
        {
            await RefuseNewAsync(page, form, place.Name).ConfigureAwait(false);
        }

        if (!form.IsSound || place is null)
        {
            return PlaceForm(page, form, before?.Name);
        }

        IReadOnlyList<string> places = before is null ? [.. page.Grower.Places, place.Name] : page.Grower.Places;
        Grower grower = page.Grower with { Places = places, Zone = places[0] == place.Name ? place.Zone : page.Grower.Zone };
        if (await store.Book.KeepPlaceAsync(grower, place, isNew: before is null, page.Stopped).ConfigureAwait(false))
        {
            return page.Next("/you", "said.kept");
        }

        return before is null ? PlaceForm(page, form.Fault("place", page.Say("place.taken", place.Name + ", " + page.Grower.Name)), null) : Shared(page, before.Name);
    }

    private static PageAnswer Shared(PageContext page, string name) => page.Show(
        name,
        html =>
        {
            html.Paragraph(page.Say("place.shared"), "lead");
            html.Link(page.To("/you"), page.Say("you.menu"), "button second");
        },
        HttpMethods.IsPost(page.Http.Request.Method) ? StatusCodes.Status403Forbidden : StatusCodes.Status200OK);

    private async Task RefuseNewAsync(PageContext page, PageForm form, string name)
    {
        if (page.Grower.Places.Count >= MostPlaces)
        {
            form.Fault("place", page.Say("place.most", MostPlaces.ToString(System.Globalization.CultureInfo.InvariantCulture)));
        }
        else if (await directory.IsPlaceTakenAsync(name, page.Stopped).ConfigureAwait(false))
        {
            form.Fault("place", page.Say("place.taken", name + ", " + page.Grower.Name));
        }
    }

    private async Task<Place?> OwnPlaceAsync(PageContext page, string name) =>
        (await directory.PlacesOfAsync(page.Grower, page.Stopped).ConfigureAwait(false)).FirstOrDefault(place => place.Name == name);
}

using GraftWatch.Letters;
using GraftWatch.Letters.Links;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.People;

/// <summary>Letters to another address: asked for by who is signed in, confirmed by the same person from the new address, told to the old one.</summary>
internal sealed class AddressPages(RecordsStore store, EntryDesk desk, Visitors visitors, Limits limits) : IPageGroup
{
    public void Map(PageRoutes routes)
    {
        routes.Get("/you/address", Access.Grower, page => Task.FromResult(page.Who!.IsKeptInFile ? page.Next("/you") : Form(page, PageForm.Fresh(page))));
        routes.Post("/you/address", Access.Grower, AskAsync);
        routes.Get("/you/address/sent", Access.Grower, page => Task.FromResult(Sent(page)));
        routes.Get("/address/{token}", Access.Anyone, ShowLinkAsync);
        routes.Post("/address/{token}", Access.Anyone, ChangeAsync);
    }

    private static PageAnswer Form(PageContext page, PageForm form) => page.Show(page.Say("address.title"), html =>
    {
        html.Paragraph(page.Say("address.how", page.Who!.Address), "lead");
        html.Paragraph(page.Say("address.what"));
        if (page.Who.IsOperator)
        {
            html.Paragraph(page.Say("address.operator"), "alarm");
        }

        html.FaultSummary(page, form);
        html.Form(page, "/you/address", () =>
        {
            html.TextField(form, "address", page.Say("address.new"), new FieldLook(Type: "email", AutoComplete: "email", IsRequired: true, Limit: 254));
            html.Button(page.Say("address.ask"));
        });
    });

    private static PageAnswer Sent(PageContext page) => page.Show(page.Say("entry.sent"), html =>
    {
        html.Paragraph(page.Say("address.sent-how"), "lead");
        html.Paragraph(page.Say("address.sent-nothing"));
        html.Link(page.To("/you"), page.Say("you.menu"), "button second");
    });

    private async Task<PageAnswer> AskAsync(PageContext page)
    {
        if (page.Who!.IsKeptInFile)
        {
            return page.Problem(StatusCodes.Status403Forbidden);
        }

        if (!limits.MayWish(page.Http))
        {
            return page.Problem(StatusCodes.Status429TooManyRequests);
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string address = form.Text("address", 254, required: true).ToLowerInvariant();
        if (form.IsSound && MailAddresses.Check(address) is not null)
        {
            form.Fault("address", page.Say("entry.no-address"));
        }
        else if (string.Equals(address, page.Who.Address, StringComparison.OrdinalIgnoreCase))
        {
            form.Fault("address", page.Say("address.same"));
        }

        if (!form.IsSound)
        {
            return Form(page, form);
        }

        if (limits.MayWrite(address))
        {
            desk.Leave(new Wish(address, EntryPurpose.ChangeAddress, page.Language, page.Who.Address, page.Now));
        }

        return page.Next("/you/address/sent");
    }

    private async Task<PageAnswer> ShowLinkAsync(PageContext page)
    {
        string token = page.Route("token");
        EntryLink? link = Tokens.IsShaped(token) ? await store.People.FindLinkAsync(Tokens.Hash(token), page.Now, page.Stopped).ConfigureAwait(false) : null;
        if (link is not { Purpose: EntryPurpose.ChangeAddress })
        {
            return SignInPages.Ended(page, limits);
        }

        if (!IsOwn(page, link))
        {
            return Elsewhere(page);
        }

        return page.Show(page.Say("address.confirm"), html =>
        {
            html.Paragraph(page.Say("address.confirm-as", ActionPages.Mask(link.Target), ActionPages.Mask(link.Address)), "lead");
            html.Form(page, page.Http.Request.Path.Value!, () => html.Button(page.Say("address.confirm-button")));
            html.Paragraph(page.Say("entry.nothing-yet"), "small");
        });
    }

    // The new address may be a stranger's by a slip of the finger; so it takes who is signed in and who reads the new address.
    private static bool IsOwn(PageContext page, EntryLink link) => string.Equals(page.Who?.Address, link.Target, StringComparison.OrdinalIgnoreCase);

    private static PageAnswer Elsewhere(PageContext page) => page.Show(
        page.Say("address.confirm"),
        html =>
        {
            html.Paragraph(page.Say("address.elsewhere"), "lead");
            html.Paragraph(page.Say("address.elsewhere-not-you"));
            html.Link(page.To("/sign-in"), page.Say("entry.sign-in"), "button second");
        },
        StatusCodes.Status403Forbidden);

    private async Task<PageAnswer> ChangeAsync(PageContext page)
    {
        string token = page.Route("token");
        if (!Tokens.IsShaped(token)
            || await store.People.FindLinkAsync(Tokens.Hash(token), page.Now, page.Stopped).ConfigureAwait(false) is not { Purpose: EntryPurpose.ChangeAddress } asked
            || await visitors.HasLettersAsync(asked.Address, page.Stopped).ConfigureAwait(false))
        {
            return SignInPages.Ended(page, limits);
        }

        if (!IsOwn(page, asked))
        {
            return Elsewhere(page);
        }

        string session = Tokens.Fresh();
        if (await store.People.ChangeAddressAsync(Tokens.Hash(token), Tokens.Hash(session), SignInPages.Device(page), page.Now, page.Stopped).ConfigureAwait(false) is null)
        {
            return SignInPages.Ended(page, limits);
        }

        PageCookies.SetSession(page.Http, session, TimeSpan.FromDays(PageSession.IdleDays));
        return page.Next("/you", "said.address-changed");
    }
}

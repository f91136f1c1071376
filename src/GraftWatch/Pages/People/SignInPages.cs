using GraftWatch.Letters;
using GraftWatch.Letters.Links;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.People;

/// <summary>Signing in by a link that comes by mail, and signing out.</summary>
internal sealed class SignInPages(RecordsStore store, EntryDesk desk, MachineDesk machine, Limits limits) : IPageGroup
{
    public void Map(PageRoutes routes)
    {
        routes.Get("/sign-in", Access.Anyone, page => Task.FromResult(Form(page, PageForm.Fresh(page).With("to", page.Query("to", 300)))));
        routes.Post("/sign-in", Access.Anyone, AskAsync);
        routes.Get("/sign-in/sent", Access.Anyone, page => Task.FromResult(Sent(page)));
        routes.Get("/sign-in/{token}", Access.Anyone, page => ShowLinkAsync(page, EntryPurpose.SignIn));
        routes.Post("/sign-in/{token}", Access.Anyone, EnterAsync);
        routes.Get("/subscribe/{token}", Access.Anyone, page => ShowLinkAsync(page, EntryPurpose.Subscribe));
        routes.Post("/subscribe/{token}", Access.Anyone, EnterAsync);
        routes.Post("/sign-out", Access.Anyone, LeaveAsync);
    }

    /// <summary>Where a link by mail may lead: a path of ours and nothing else.</summary>
    internal static string SafeTarget(string? target) =>
        target is { Length: > 0 and <= 300 } && target[0] == '/' && !target.StartsWith("//", StringComparison.Ordinal)
        && !target.Any(letter => letter is '\\' || char.IsControl(letter)) ? target : string.Empty;

    /// <summary>What everybody is told, known or not.</summary>
    internal static PageAnswer Sent(PageContext page) => page.Show(page.Say("entry.sent"), html =>
    {
        html.Paragraph(page.Say("entry.sent-how"), "lead");
        html.Paragraph(page.Say("entry.sent-nothing"));
        html.Link(page.To("/sign-in"), page.Say("entry.again"), "button second");
    });

    private static PageAnswer Form(PageContext page, PageForm form) => page.Show(page.Say("entry.sign-in"), html =>
    {
        html.Paragraph(page.Say("entry.sign-in-how"), "lead");
        html.FaultSummary(page, form);
        html.Form(page, "/sign-in", () =>
        {
            html.Hidden("to", form.Raw("to"));
            html.TextField(form, "address", page.Say("entry.address"), new FieldLook(Type: "email", AutoComplete: "email", IsRequired: true, Limit: 254));
            html.Button(page.Say("entry.send"));
        });
        if (page.Site.IsOpen)
        {
            html.Leaf("h2", page.Say("entry.new-here"));
            html.Link(page.To("/subscribe"), page.Say("entry.subscribe"), "button second");
        }

        if (AtTheMachine.IsHere(page.Http, page.Site))
        {
            html.Leaf("h2", page.Say("machine.title"));
            html.Link(page.To(MachinePages.Path), page.Say("machine.enter"), "button second");
        }
    });

    private Task<PageAnswer> AskAsync(PageContext page) => AskAsync(page, EntryPurpose.SignIn, Form);

    /// <summary>Takes an address and leaves a wish; the answer says nothing about who is known.</summary>
    internal async Task<PageAnswer> AskAsync(PageContext page, EntryPurpose purpose, Func<PageContext, PageForm, PageAnswer> form)
    {
        if (!limits.MayWish(page.Http))
        {
            return page.Problem(StatusCodes.Status429TooManyRequests);
        }

        PageForm sent = await page.ReadFormAsync().ConfigureAwait(false);
        string address = sent.Text("address", 254, required: true).ToLowerInvariant();
        if (sent.IsSound && MailAddresses.Check(address) is not null)
        {
            sent.Fault("address", page.Say("entry.no-address"));
        }

        if (!sent.IsSound)
        {
            return form(page, sent);
        }

        if (limits.MayWrite(address))
        {
            desk.Leave(new Wish(address, purpose, page.Language, SafeTarget(sent.Raw("to")), page.Now));
        }

        return page.Next("/sign-in/sent");
    }

    private async Task<PageAnswer> ShowLinkAsync(PageContext page, EntryPurpose purpose)
    {
        string token = page.Route("token");
        EntryLink? link = Tokens.IsShaped(token) ? await store.People.FindLinkAsync(Tokens.Hash(token), page.Now, page.Stopped).ConfigureAwait(false) : null;
        if (link is null || link.Purpose != purpose)
        {
            return Ended(page, limits);
        }

        string key = purpose == EntryPurpose.Subscribe ? "entry.confirm" : "entry.enter";
        return page.Show(page.Say(key), html =>
        {
            html.Paragraph(page.Say(key + "-as", ActionPages.Mask(link.Address)), "lead");
            html.Form(page, page.Http.Request.Path.Value!, () => html.Button(page.Say(key + "-button")));
            html.Paragraph(page.Say("entry.nothing-yet"), "small");
        });
    }

    private async Task<PageAnswer> EnterAsync(PageContext page)
    {
        string token = page.Route("token");
        string session = Tokens.Fresh();
        EntryLink? link = Tokens.IsShaped(token)
            ? await store.People.EnterAsync(Tokens.Hash(token), Tokens.Hash(session), Device(page), page.Now, page.Stopped).ConfigureAwait(false)
            : null;
        if (link is null)
        {
            return Ended(page, limits);
        }

        if (page.Who is { } before)
        {
            await store.People.EndSessionsAsync(before.Address, before.Session, page.Now, page.Stopped).ConfigureAwait(false);
        }

        PageCookies.SetSession(page.Http, session, TimeSpan.FromDays(PageSession.IdleDays));
        return page.Next(SafeTarget(link.Target) is { Length: > 0 } target ? target : "/");
    }

    /// <summary>A link that is not in force, whatever the reason.</summary>
    internal static PageAnswer Ended(PageContext page, Limits limits) => !limits.MayGuess(page.Http)
        ? page.Problem(StatusCodes.Status429TooManyRequests)
        : page.Show(
            page.Say("entry.ended"),
            html =>
            {
                html.Paragraph(page.Say("entry.ended-how"), "lead");
                html.Link(page.To("/sign-in"), page.Say("entry.again"), "button");
            },
            StatusCodes.Status404NotFound);

    private async Task<PageAnswer> LeaveAsync(PageContext page)
    {
        if (page.Who is { IsByPlace: false } who)
        {
            await store.People.EndSessionsAsync(who.Address, who.Session, page.Now, page.Stopped).ConfigureAwait(false);
        }

        machine.Leave(page.Http);
        PageCookies.DropSession(page.Http);
        return page.Next("/sign-in", "said.signed-out");
    }

    /// <summary>Enough of what the browser says to know one's own phone again.</summary>
    internal static string Device(PageContext page)
    {
        string agent = page.Http.Request.Headers.UserAgent.ToString();
        return new string([.. agent.Where(letter => !char.IsControl(letter) && !char.IsSurrogate(letter)).Take(160)]);
    }
}

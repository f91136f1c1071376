using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;

namespace GraftWatch.Pages.People;

/// <summary>The ways letters and notes reach the grower besides mail: an address of their own that takes a post.</summary>
internal sealed class WayPages(RecordsStore store, ChannelTargets targets) : IPageGroup
{
    /// <summary>Ways one grower may have besides mail.</summary>
    internal const int MostWays = 5;

    private static readonly (string Word, string Value)[] Kinds = [("signed-post", GrowerChannelKinds.SignedPost), ("text-post", GrowerChannelKinds.TextPost)];

    public void Map(PageRoutes routes)
    {
        routes.Get("/you/ways", Access.Grower, page => FormAsync(page, PageForm.Fresh(page).With("kind", "signed-post").With("urgent", "on")));
        routes.Post("/you/ways", Access.Grower, AddAsync);
        routes.Post("/you/ways/mail", Access.Grower, MailAsync);
        routes.Post("/you/ways/end", Access.Grower, EndAsync);
    }

    /// <summary>Key of the sentence that says what a way carries.</summary>
    internal static string Sentence(GrowerChannel way) => (way.Morning, way.Urgent) switch
    {
        (true, true) => "ways.both",
        (true, false) => "ways.morning",
        (false, true) => "ways.urgent",
        _ => "ways.none",
    };

    /// <summary>The grower's ways; mail is always among them.</summary>
    internal static async Task<IReadOnlyList<GrowerChannel>> WaysAsync(RecordsStore store, PageContext page)
    {
        IReadOnlyList<GrowerChannel> ways = await store.Book.LoadChannelsAsync(page.Grower.Name, page.Stopped).ConfigureAwait(false);
        ways = ways.Any(way => way.Kind == GrowerChannelKinds.Mail)
            ? ways
            : [new GrowerChannel(LetterSlot.Mail, GrowerChannelKinds.Mail, page.Grower.Address, Morning: true, Urgent: true), .. ways];

        // Where no way carries the morning letter it comes by mail.
        return ways.Any(way => way.Morning) ? ways : [.. ways.Select(way => way.Kind == GrowerChannelKinds.Mail ? way with { Morning = true } : way)];
    }

    private async Task<PageAnswer> FormAsync(PageContext page, PageForm form, string? refused = null)
    {
        if (page.Who!.IsKeptInFile)
        {
            return page.Next("/you");
        }

        IReadOnlyList<GrowerChannel> ways = await WaysAsync(store, page).ConfigureAwait(false);
        return page.Show(page.Say("ways.title"), html =>
        {
            html.Paragraph(page.Say("ways.how"), "lead");
            if (refused is not null)
            {
                html.Paragraph(page.Say(refused), "alarm");
                html.Link(page.To("/you"), page.Say("you.stop"), "button second");
            }

            foreach (GrowerChannel way in ways)
            {
                Way(html, page, way);
            }

            html.Leaf("h2", page.Say("ways.add"));
            html.FaultSummary(page, form);
            html.Form(page, "/you/ways", () =>
            {
                html.TextField(form, "name", page.Say("ways.name"), new FieldLook(page.Say("ways.name-how"), IsRequired: true, Limit: 40));
                html.ChoiceField(form, "kind", page.Say("ways.kind"), Kinds.Select(kind => (kind.Word, page.Say("ways.kind-" + kind.Word))));
                html.TextField(form, "target", page.Say("ways.target"), new FieldLook(page.Say("ways.target-how"), Type: "url", IsRequired: true, Limit: 500));
                html.TickField(form, "morning", page.Say("ways.carry-morning"));
                html.TickField(form, "urgent", page.Say("ways.carry-urgent"));
                html.Button(page.Say("ways.add-button"));
            });
        });
    }

    private void Way(Html html, PageContext page, GrowerChannel way)
    {
        html.Leaf("h2", way.Kind == GrowerChannelKinds.Mail ? page.Say("ways.mail") : way.Name);
        html.Paragraph(page.Say(Sentence(way), way.Name, way.Target));
        if (way.Kind == GrowerChannelKinds.Mail)
        {
            PageForm form = PageForm.Fresh(page).With("morning", way.Morning ? "on" : string.Empty).With("urgent", way.Urgent ? "on" : string.Empty);
            html.Form(page, "/you/ways/mail", () =>
            {
                html.TickField(form, "morning", page.Say("ways.carry-morning"));
                html.TickField(form, "urgent", page.Say("ways.carry-urgent"));
                html.Button(page.Say("you.keep"), "second");
            });
            return;
        }

        if (way.Kind == GrowerChannelKinds.SignedPost)
        {
            html.Paragraph(page.Say("ways.secret"));
            using (html.In("details"))
            {
                html.Leaf("summary", page.Say("ways.secret-show"));
                html.Leaf("code", targets.SecretOf(page.Grower.Name, way.Name));
            }
        }

        html.Form(page, "/you/ways/end", () =>
        {
            html.Hidden("name", way.Name);
            html.Button(page.Say("ways.end", way.Name), "second");
        });
    }

    private async Task<PageAnswer> AddAsync(PageContext page)
    {
        if (page.Who!.IsKeptInFile)
        {
            return page.Problem(StatusCodes.Status403Forbidden);
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        IReadOnlyList<GrowerChannel> ways = await WaysAsync(store, page).ConfigureAwait(false);
        string name = form.Text("name", 40, required: true);
        string kind = form.Choice("kind", Kinds);
        string target = form.Text("target", 500, required: true);
        if (target.Length > 0 && !IsOutside(target))
        {
            form.Fault("target", page.Say("ways.target-not"));
        }

        if (ways.Any(way => string.Equals(way.Name, name, StringComparison.OrdinalIgnoreCase)))
        {
            form.Fault("name", page.Say("ways.name-taken"));
        }

        if (ways.Count > MostWays)
        {
            form.Fault("name", page.Say("ways.most", MostWays.ToString(System.Globalization.CultureInfo.InvariantCulture)));
        }

        if (!form.IsSound)
        {
            return await FormAsync(page, form).ConfigureAwait(false);
        }

        await store.Book.SaveChannelsAsync(page.Grower.Name, [.. ways, new GrowerChannel(name, kind, target, form.Flag("morning"), form.Flag("urgent"))], page.Stopped).ConfigureAwait(false);
        return page.Next("/you/ways", "said.kept");
    }

    // Whether it leads into somebody's own network is checked again at each connection, after its name was looked up.
    private static bool IsOutside(string target) =>
        Uri.TryCreate(target, UriKind.Absolute, out Uri? address) && address.Scheme == "https" && address.UserInfo.Length == 0 && !address.IsLoopback;

    private async Task<PageAnswer> MailAsync(PageContext page)
    {
        if (page.Who!.IsKeptInFile)
        {
            return page.Problem(StatusCodes.Status403Forbidden);
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        IReadOnlyList<GrowerChannel> ways = await WaysAsync(store, page).ConfigureAwait(false);
        return await KeepAsync(page, [.. ways.Select(way => way.Kind == GrowerChannelKinds.Mail ? way with { Morning = form.Flag("morning"), Urgent = form.Flag("urgent") } : way)]).ConfigureAwait(false);
    }

    private async Task<PageAnswer> EndAsync(PageContext page)
    {
        if (page.Who!.IsKeptInFile)
        {
            return page.Problem(StatusCodes.Status403Forbidden);
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string name = form.Raw("name");
        IReadOnlyList<GrowerChannel> ways = await WaysAsync(store, page).ConfigureAwait(false);
        return await KeepAsync(page, [.. ways.Where(way => way.Kind == GrowerChannelKinds.Mail || way.Name != name)]).ConfigureAwait(false);
    }

    private async Task<PageAnswer> KeepAsync(PageContext page, IReadOnlyList<GrowerChannel> ways)
    {
        if (!ways.Any(way => way.Morning))
        {
            return await FormAsync(page, PageForm.Fresh(page).With("kind", "signed-post").With("urgent", "on"), "ways.none-left").ConfigureAwait(false);
        }

        await store.Book.SaveChannelsAsync(page.Grower.Name, ways, page.Stopped).ConfigureAwait(false);
        return page.Next("/you/ways", "said.kept");
    }
}

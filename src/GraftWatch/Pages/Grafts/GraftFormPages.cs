using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Today;
using GraftWatch.Records.Register;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Pages.Grafts;

/// <summary>Adds one graft or a row of like ones, changes one, takes one out.</summary>
internal sealed class GraftFormPages(TodayService today) : IPageGroup
{
    private const string Times = "times";

    public void Map(PageRoutes routes)
    {
        routes.Get("/grafts/add", Access.Grower, page => GuardedAsync(page, ShowAddAsync));
        routes.Post("/grafts/add", Access.Grower, page => GuardedAsync(page, AddAsync));
        routes.Get("/grafts/change", Access.Grower, page => GuardedAsync(page, ShowChangeAsync));
        routes.Post("/grafts/change", Access.Grower, page => GuardedAsync(page, ChangeAsync));
        routes.Get("/grafts/remove", Access.Grower, page => GuardedAsync(page, ShowRemoveAsync));
        routes.Post("/grafts/remove", Access.Grower, page => GuardedAsync(page, RemoveAsync));
    }

    // A register that is a file belongs to who edits the file.
    private Task<PageAnswer> GuardedAsync(PageContext page, Func<PageContext, Task<PageAnswer>> handler) =>
        today.RegisterFileOf(page.Grower.Name) is null
            ? handler(page)
            : Task.FromResult(page.Show(page.Say("grafts.read-only"), html => html.Paragraph(page.Say("grafts.in-file")), StatusCodes.Status403Forbidden));

    private async Task<PageAnswer> ShowAddAsync(PageContext page)
    {
        PageForm form = PageForm.Fresh(page).With(Times, "1").With(RegisterColumns.Made, LocalDatePattern.Iso.Format(page.Days.Of(page.Now)));
        if (page.Query("like") is { Length: > 0 } like && await FindAsync(page, like).ConfigureAwait(false) is { } graft)
        {
            IReadOnlyList<Graft> grafts = await today.GraftsAsync(page).ConfigureAwait(false);
            Fill(form, page, graft);
            form.With(RegisterColumns.Label, GraftCells.NextFree(graft.Label, grafts.Select(each => each.Label).ToHashSet(StringComparer.OrdinalIgnoreCase)));
            form.With(RegisterColumns.Tree, GraftCells.CountOn(graft.Tree, 1) ?? graft.Tree).With(RegisterColumns.Shoot, string.Empty).With(RegisterColumns.Bbch, string.Empty).With(RegisterColumns.Notes, string.Empty);
        }

        return await ShowFormAsync(page, form, null).ConfigureAwait(false);
    }

    private async Task<PageAnswer> AddAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        double times = form.Raw(Times).Length == 0 ? 1 : form.Number(Times, 1, GraftCells.MostAtOnce);
        IReadOnlyList<Graft> before = await today.GraftsAsync(page).ConfigureAwait(false);
        IReadOnlyList<Graft> added = form.IsSound ? await ReadAsync(page, form, (int)times, null).ConfigureAwait(false) : [];
        var taken = before.Select(graft => graft.Label).ToHashSet(StringComparer.OrdinalIgnoreCase);
        if (added.FirstOrDefault(graft => taken.Contains(graft.Label)) is { } twice)
        {
            form.Fault(RegisterColumns.Label, page.Say("graft-form.label-taken", twice.Label));
        }

        if (!form.IsSound)
        {
            return await ShowFormAsync(page, form, null).ConfigureAwait(false);
        }

        await today.Store.Keeper.ImportGraftsAsync(page.Grower.Name, added, page.Stopped).ConfigureAwait(false);
        today.Days.Changed(page.Grower.Name);
        return page.Next("/grafts/add?like=" + Uri.EscapeDataString(added[^1].Label), added.Count == 1 ? "said.graft-added" : "said.grafts-added");
    }

    private async Task<PageAnswer> ShowChangeAsync(PageContext page)
    {
        if (await FindAsync(page, page.Query("label")).ConfigureAwait(false) is not { } graft)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        PageForm form = PageForm.Fresh(page);
        Fill(form, page, graft);
        return await ShowFormAsync(page, form, graft).ConfigureAwait(false);
    }

    private async Task<PageAnswer> ChangeAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        if (await FindAsync(page, form.Raw(RegisterColumns.Label)).ConfigureAwait(false) is not { } graft)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        IReadOnlyList<Graft> changed = await ReadAsync(page, form, 1, graft).ConfigureAwait(false);
        if (!form.IsSound)
        {
            return await ShowFormAsync(page, form, graft).ConfigureAwait(false);
        }

        await today.Store.Keeper.ImportGraftsAsync(page.Grower.Name, [changed[0] with { CoverVented = graft.CoverVented && changed[0].Cover == graft.Cover }], page.Stopped).ConfigureAwait(false);
        today.Days.Changed(page.Grower.Name);
        return page.Next("/grafts/one?label=" + Uri.EscapeDataString(graft.Label), "said.graft-changed");
    }

    private async Task<PageAnswer> ShowRemoveAsync(PageContext page)
    {
        if (await FindAsync(page, page.Query("label")).ConfigureAwait(false) is not { } graft)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        return page.Show(page.Say("graft-form.remove-title", graft.Label), html =>
        {
            html.Paragraph(page.Say("graft-form.remove-what"));
            html.Form(page, "/grafts/remove", () =>
            {
                html.Hidden("label", graft.Label);
                html.Button(page.Say("graft-form.remove"), "grave");
            });
            html.Link(page.To("/grafts/one?label=" + Uri.EscapeDataString(graft.Label)), page.Say("graft-form.keep"));
        });
    }

    private async Task<PageAnswer> RemoveAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string label = form.Raw("label");
        IReadOnlyList<Graft> grafts = await today.Store.Register.LoadGraftsAsync(page.Grower.Name, page.Stopped).ConfigureAwait(false);
        Graft[] kept = [.. grafts.Where(graft => graft.Label != label)];
        if (kept.Length == grafts.Count)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        await today.Store.Keeper.ReplaceGraftsAsync(page.Grower.Name, kept, page.Stopped).ConfigureAwait(false);
        today.Days.Changed(page.Grower.Name);
        return page.Next("/grafts", "said.graft-removed");
    }

    private async Task<Graft?> FindAsync(PageContext page, string label) =>
        (await today.GraftsAsync(page).ConfigureAwait(false)).FirstOrDefault(graft => graft.Label == label);

    private static void Fill(PageForm form, PageContext page, Graft graft)
    {
        foreach ((string column, string text) in GraftCells.Shown(graft, page.Grower.Units, page.Language))
        {
            form.With(column, text);
        }
    }

    /// <summary>Reads the form as rows of the register; every fault goes to its field.</summary>
    private async Task<IReadOnlyList<Graft>> ReadAsync(PageContext page, PageForm form, int count, Graft? before)
    {
        Dictionary<string, string> cells = GraftCells.Cells(form.Raw, page.Grower.Units, page.Language, before);
        if (GraftCells.Rows(cells, count) is not { } rows)
        {
            form.Fault(RegisterColumns.Label, page.Say("graft-form.label-counts"));
            return [];
        }

        LocalDate day = page.Now.InZone(page.Grower.Zone).Date;
        var context = new RegisterContext { Places = await today.Days.PlacesAsync(page.Grower, page.Stopped).ConfigureAwait(false) };
        RegisterReading reading = RegisterCsv.Parse(RegisterCsv.OfCells(rows), today.Handbook, day, context);
        foreach (RegisterFault fault in reading.Faults)
        {
            form.Fault(fault.Column.Length > 0 ? fault.Column : RegisterColumns.Label, fault.Problem == "The cell is empty." ? page.Say("form.needed") : $"{fault.Problem} {fault.Expected}".TrimEnd());
        }

        return reading.Grafts;
    }

    private async Task<PageAnswer> ShowFormAsync(PageContext page, PageForm form, Graft? graft)
    {
        IReadOnlyList<Place> places = await today.Days.PlacesAsync(page.Grower, page.Stopped).ConfigureAwait(false);
        string title = graft is null ? page.Say("graft-form.add-title") : page.Say("graft-form.change-title", graft.Label);
        return page.Show(
            title,
            html =>
            {
                html.FaultSummary(page, form);
                html.Form(page, graft is null ? "/grafts/add" : "/grafts/change", () =>
                {
                    GraftFields.Write(html, page, form, today.Handbook, places, isNew: graft is null);
                    html.Button(page.Say(graft is null ? "graft-form.add" : "graft-form.change"));
                });
                html.Link(page.To(graft is null ? "/grafts" : "/grafts/one?label=" + Uri.EscapeDataString(graft.Label)), page.Say("graft-form.leave"));
            },
            form.IsSound ? StatusCodes.Status200OK : StatusCodes.Status400BadRequest);
    }
}

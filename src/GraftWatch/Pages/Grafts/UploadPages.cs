using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters.Wording;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Today;
using GraftWatch.Records.Register;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.Grafts;

/// <summary>The register as a file: taken in after a look at what would change, and handed out.</summary>
internal sealed class UploadPages(TodayService today, UploadShelf shelf) : IPageGroup
{
    private const int FaultsOnPage = 50;

    public void Map(PageRoutes routes)
    {
        routes.Get("/grafts/upload", Access.Grower, page => GuardedAsync(page, async () => await ShowAsync(page, PageForm.Fresh(page), []).ConfigureAwait(false)));
        routes.Post("/grafts/upload", Access.Grower, page => GuardedAsync(page, () => TakeAsync(page)), PageRoutes.UploadLimit);
        routes.Get("/grafts/upload/look", Access.Grower, page => GuardedAsync(page, () => LookAsync(page)));
        routes.Post("/grafts/upload/keep", Access.Grower, page => GuardedAsync(page, () => KeepAsync(page)));
        routes.Get("/grafts/register.csv", Access.Grower, DownloadAsync);
    }

    private Task<PageAnswer> GuardedAsync(PageContext page, Func<Task<PageAnswer>> handler) =>
        today.RegisterFileOf(page.Grower.Name) is null
            ? handler()
            : Task.FromResult(page.Show(page.Say("grafts.read-only"), html => html.Paragraph(page.Say("grafts.in-file")), StatusCodes.Status403Forbidden));

    private static Task<PageAnswer> ShowAsync(PageContext page, PageForm form, IReadOnlyList<RegisterFault> faults) => Task.FromResult(page.Show(
        page.Say("upload.title"),
        html =>
        {
            if (faults.Count > 0)
            {
                html.Leaf("p", page.Count("upload.faults", faults.Count), ("class", "alarm"), ("role", "alert"));
                using (html.In("ol", ("lang", page.English()), ("class", "faults")))
                {
                    foreach (RegisterFault fault in faults.Take(FaultsOnPage))
                    {
                        html.Leaf("li", TradeWords.Cut(fault.ToString()));
                    }
                }

                if (faults.Count > FaultsOnPage)
                {
                    html.Paragraph(page.Say("upload.more-faults", (faults.Count - FaultsOnPage).ToString(System.Globalization.CultureInfo.InvariantCulture)));
                }
            }

            html.Paragraph(page.Say("upload.what"));
            html.Form(
                page,
                "/grafts/upload",
                () =>
                {
                    html.FileField(form, "file", page.Say("upload.file"), ".csv,text/csv", page.Say("upload.file-hint"));
                    html.TickField(form, "replaces", page.Say("upload.replaces"), page.Say("upload.replaces-hint"));
                    html.Button(page.Say("upload.look"));
                },
                hasFile: true);
            html.Link(page.To("/grafts/register.csv"), page.Say("grafts.download"));
        },
        faults.Count > 0 || !form.IsSound ? StatusCodes.Status400BadRequest : StatusCodes.Status200OK));

    private async Task<PageAnswer> TakeAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        if (form.Files?.GetFile("file") is not { Length: > 0 } file)
        {
            return await ShowAsync(page, form.Fault("file", page.Say("upload.no-file")), []).ConfigureAwait(false);
        }

        using var memory = new MemoryStream();
        await file.CopyToAsync(memory, page.Stopped).ConfigureAwait(false);
        var context = new RegisterContext { File = NameOf(file), Places = await today.Days.PlacesAsync(page.Grower, page.Stopped).ConfigureAwait(false) };
        LocalDate day = page.Now.InZone(page.Grower.Zone).Date;
        RegisterReading reading = RegisterCsv.Parse(memory.GetBuffer().AsSpan(0, (int)memory.Length), today.Handbook, day, context);
        IReadOnlyList<RegisterFault> faults = reading.Faults;
        Graft[] grafts = [.. reading.Grafts.Select(FormulaCells.Unguard)];
        if (grafts.GroupBy(graft => graft.Label, StringComparer.OrdinalIgnoreCase).FirstOrDefault(group => group.Count() > 1) is { } twice)
        {
            faults = [new RegisterFault(context.File, 0, RegisterColumns.Label, $"'{twice.Key}' stands for {twice.Count()} grafts.", "A label is used once in a register.")];
        }
        else if (faults.Count == 0 && grafts.Length == 0)
        {
            faults = [new RegisterFault(context.File, 0, string.Empty, "The register has no grafts.", "Below the first line, write one line for each graft.")];
        }

        if (faults.Count > 0)
        {
            return await ShowAsync(page, form, faults).ConfigureAwait(false);
        }

        string key = shelf.Put(page.Grower.Name, grafts, form.Flag("replaces"), page.Now);
        return page.Next("/grafts/upload/look?key=" + key);
    }

    private async Task<PageAnswer> LookAsync(PageContext page)
    {
        if (shelf.Find(page.Grower.Name, page.Query("key"), page.Now) is not { } waiting)
        {
            return Over(page);
        }

        IReadOnlyList<Graft> before = await today.Store.Register.LoadGraftsAsync(page.Grower.Name, page.Stopped).ConfigureAwait(false);
        var difference = RegisterDifference.Between(before, waiting.Grafts);
        IReadOnlyList<Graft> removed = waiting.Replaces ? difference.Removed : [];
        return page.Show(page.Say("upload.look-title"), html =>
        {
            Changes(html, page, "upload.added", difference.Added);
            Changes(html, page, "upload.changed", difference.Changed);
            Changes(html, page, "upload.removed", removed);
            html.Paragraph(page.Count("upload.unchanged", difference.Unchanged));
            if (!waiting.Replaces && difference.Removed.Count > 0)
            {
                html.Paragraph(page.Count("upload.stays", difference.Removed.Count));
            }

            html.Paragraph(page.Say("upload.not-yet"), "lead");
            html.Form(page, "/grafts/upload/keep", () =>
            {
                html.Hidden("key", waiting.Key);
                html.Hidden("seen", Seen(difference, removed.Count));
                html.Button(page.Say("upload.keep"));
            });
            html.Link(page.To("/grafts/upload"), page.Say("upload.leave"));
        });
    }

    private static void Changes(Html html, PageContext page, string key, IReadOnlyList<Graft> grafts)
    {
        html.Leaf("h2", page.Count(key, grafts.Count));
        if (grafts.Count > 0)
        {
            html.Paragraph(TradeWords.Cut(LabelList.Fold([.. grafts.Select(graft => graft.Label)])));
        }
    }

    private async Task<PageAnswer> KeepAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string key = form.Raw("key");
        if (shelf.Find(page.Grower.Name, key, page.Now) is not { } waiting)
        {
            return Over(page);
        }

        // The register may have changed since the look; then what was seen is not what would happen.
        IReadOnlyList<Graft> before = await today.Store.Register.LoadGraftsAsync(page.Grower.Name, page.Stopped).ConfigureAwait(false);
        var difference = RegisterDifference.Between(before, waiting.Grafts);
        if (form.Raw("seen") != Seen(difference, waiting.Replaces ? difference.Removed.Count : 0))
        {
            return page.Next("/grafts/upload/look?key=" + key, "said.look-again");
        }

        IRegisterKeeper keeper = today.Store.Keeper;
        _ = waiting.Replaces
            ? await keeper.ReplaceGraftsAsync(page.Grower.Name, waiting.Grafts, page.Stopped).ConfigureAwait(false)
            : await keeper.ImportGraftsAsync(page.Grower.Name, waiting.Grafts, page.Stopped).ConfigureAwait(false);
        shelf.Drop(page.Grower.Name);
        today.Days.Changed(page.Grower.Name);
        return page.Next("/grafts", "said.register-kept");
    }

    private async Task<PageAnswer> DownloadAsync(PageContext page)
    {
        IReadOnlyList<Graft> grafts = await today.GraftsAsync(page).ConfigureAwait(false);
        return PageAnswer.File(FormulaCells.File(grafts), "text/csv; charset=utf-8", "grafts.csv");
    }

    private static PageAnswer Over(PageContext page) => page.Show(
        page.Say("upload.over"),
        html =>
        {
            html.Paragraph(page.Say("upload.over-do"));
            html.Link(page.To("/grafts/upload"), page.Say("grafts.upload"), "button");
        },
        StatusCodes.Status404NotFound);

    private static string Seen(RegisterDifference difference, int removed) =>
        string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{difference.Added.Count}-{difference.Changed.Count}-{removed}-{difference.Unchanged}");

    private static string NameOf(IFormFile file)
    {
        string name = Path.GetFileName(file.FileName.Replace('\\', '/'));
        return name.Length is > 0 and <= 80 && !name.Any(char.IsControl) ? name : "register.csv";
    }
}

using GraftWatch.Pages.Grafts;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.People;

/// <summary>Taking everything along, and being deleted.</summary>
internal sealed class LeavePages(RecordsStore store, GrowerDirectory directory, IRegister register) : IPageGroup
{
    public void Map(PageRoutes routes)
    {
        routes.Get("/you/export/archive.json", Access.Grower, ArchiveAsync);
        routes.Get("/you/export/register.csv", Access.Grower, RegisterAsync);
        routes.Get("/you/delete", Access.SignedIn, page => Task.FromResult(Ask(page, PageForm.Fresh(page))));
        routes.Post("/you/delete", Access.SignedIn, DeleteAsync);
    }

    private static PageAnswer Ask(PageContext page, PageForm form) => page.Show(page.Say("leave.delete"), html =>
    {
        html.Paragraph(page.Say("leave.delete-how"), "lead");
        html.Paragraph(page.Say("leave.delete-remains"));
        if (page.Who is { Grower: not null, IsKeptInFile: true })
        {
            html.Paragraph(page.Say("leave.delete-in-file"), "alarm");
            return;
        }

        html.FaultSummary(page, form);
        html.Form(page, "/you/delete", () =>
        {
            html.TextField(form, "address", page.Say("leave.type-address"), new FieldLook(Type: "email", IsRequired: true, Limit: 254));
            html.Button(page.Say("leave.delete-button"), "grave");
        });
    });

    private async Task<PageAnswer> ArchiveAsync(PageContext page)
    {
        using var archive = new MemoryStream();
        await store.Archive.ExportGrowerAsync(page.Grower.Name, archive, page.Stopped).ConfigureAwait(false);
        return PageAnswer.File(archive.ToArray(), "application/json", "graftwatch-archive.json");
    }

    private async Task<PageAnswer> RegisterAsync(PageContext page) => PageAnswer.File(
        FormulaCells.File(await register.LoadGraftsAsync(page.Grower.Name, page.Stopped).ConfigureAwait(false)),
        "text/csv; charset=utf-8",
        "register.csv");

    private async Task<PageAnswer> DeleteAsync(PageContext page)
    {
        SignedIn who = page.Who!;
        if (who is { Grower: not null, IsKeptInFile: true })
        {
            return page.Problem(StatusCodes.Status403Forbidden);
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string typed = form.Text("address", 254, required: true);
        if (form.IsSound && !string.Equals(typed, who.Address, StringComparison.OrdinalIgnoreCase))
        {
            form.Fault("address", page.Say("leave.other-address"));
        }

        if (!form.IsSound)
        {
            return Ask(page, form);
        }

        await store.People.DeleteAsync(who.Address, who.Grower?.Name, directory.PlacesOfFile, page.Stopped).ConfigureAwait(false);
        PageCookies.DropSession(page.Http);
        return page.Next("/sign-in", "said.deleted");
    }
}

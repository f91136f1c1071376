using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records.Register;
using GraftWatch.Settings;
using Ground = GraftWatch.Microclimate.Sites.Site;

namespace GraftWatch.Pages.FirstStart;

/// <summary>The register: a file that is read whole or refused with every fault, or none yet.</summary>
internal sealed class RegisterPages(FirstStartDesk desk, FirstStartPlan plan) : IPageGroup
{
    private const string Path = "/first-start/register";
    private const int FaultsShown = 100;

    public void Map(PageRoutes routes)
    {
        routes.Get(Path, Access.Anyone, FirstStartSteps.Inside(desk, page => Task.FromResult(desk.Draft.Spot is null ? page.Next(desk.Draft.NextStep) : Form(page, PageForm.Fresh(page), []))));
        routes.Post(Path, Access.Anyone, FirstStartSteps.Inside(desk, KeepAsync), PageRoutes.UploadLimit);
    }

    private static PageAnswer Form(PageContext page, PageForm form, IReadOnlyList<string> faults) => FirstStartSteps.Show(page, "first.register", html =>
    {
        html.Paragraph(page.Say("first.register-how"), "lead");
        if (faults.Count > 0)
        {
            html.Leaf("p", page.Count("first.register-faults", faults.Count), ("class", "alarm"), ("role", "alert"));
            using (html.In("ul", ("lang", "en"), ("class", "amiss")))
            {
                foreach (string fault in faults.Take(FaultsShown))
                {
                    html.Leaf("li", fault);
                }
            }
        }

        html.Form(
            page,
            Path,
            () =>
            {
                html.FileField(form, "file", page.Say("first.register-file"), ".csv,text/csv", page.Say("first.register-file-how"));
                html.Button(page.Say("first.register-read"), name: "act", value: "read");
                html.Button(page.Say("first.register-none"), "second", "act", "none");
            },
            hasFile: true);
    });

    private async Task<PageAnswer> KeepAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        if (desk.Draft is not { Spot: { } spot, PlaceName: { } name })
        {
            return page.Next(desk.Draft.NextStep);
        }

        if (form.Raw("act") == "none")
        {
            desk.Draft = desk.Draft with { Grafts = [], KnowsRegister = true };
            return page.Next(desk.Draft.NextStep);
        }

        if (form.Files?.GetFile("file") is not { Length: > 0 } file)
        {
            return Form(page, form.Fault("file", page.Say("first.register-no-file")), []);
        }

        var place = new Place(name, new Ground { LatitudeDeg = spot.LatitudeDeg, LongitudeDeg = spot.LongitudeDeg, ElevationM = spot.ElevationM }, spot.Zone);
        RegisterReading reading = await ReadAsync(page, file, place).ConfigureAwait(false);
        if (!reading.IsValid || reading.Grafts.Count == 0)
        {
            return Form(page, form, reading.IsValid ? [page.Say("first.register-empty")] : [.. reading.Faults.Select(fault => fault.ToString())]);
        }

        desk.Draft = desk.Draft with { Grafts = reading.Grafts, KnowsRegister = true };
        return page.Next(desk.Draft.NextStep);
    }

    private async Task<RegisterReading> ReadAsync(PageContext page, IFormFile file, Place place)
    {
        using var bytes = new MemoryStream();
        await file.CopyToAsync(bytes, page.Stopped).ConfigureAwait(false);
        Loaded<Handbook> handbook = SettingsLoader.LoadHandbook(plan.Folder);
        Handbook known = handbook.IsValid ? handbook.Value : SettingsLoader.LoadHandbook(null).Value!;
        return RegisterCsv.Parse(bytes.ToArray(), known, page.Now.InZone(place.Zone).Date, new RegisterContext { Places = [place] });
    }
}

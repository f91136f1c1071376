using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters;
using GraftWatch.Letters.Links;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using NodaTime;

namespace GraftWatch.Pages.FirstStart;

/// <summary>Who gets the first letter, and looks after the program.</summary>
internal sealed class FirstGrowerPages(FirstStartDesk desk) : IPageGroup
{
    private const string Path = "/first-start/grower";
    private static readonly (string Word, UnitSystem Value)[] Units = [("metric", UnitSystem.Metric), ("us", UnitSystem.UnitedStates)];

    public void Map(PageRoutes routes)
    {
        routes.Get(Path, Access.Anyone, FirstStartSteps.Inside(desk, page => Task.FromResult(Form(page, Fresh(page)))));
        routes.Post(Path, Access.Anyone, FirstStartSteps.Inside(desk, KeepAsync));
    }

    private PageForm Fresh(PageContext page)
    {
        PageForm form = PageForm.Fresh(page);
        if (desk.Draft.Grower is { } grower)
        {
            return form.With("name", grower.Name).With("address", grower.Address).With("hour", Days.Hour(grower.Hour)).With("units", Units.First(unit => unit.Value == grower.Units).Word);
        }

        string address = desk.Draft.Mail?.User is { } user && MailAddresses.Check(user) is null ? user : desk.Draft.Mail?.From ?? string.Empty;
        return form.With("address", address).With("name", NameOf(address)).With("hour", "06:00").With("units", "metric");
    }

    private static PageAnswer Form(PageContext page, PageForm form) => FirstStartSteps.Show(page, "first.grower", html =>
    {
        html.Paragraph(page.Say("first.grower-how"), "lead");
        html.FaultSummary(page, form);
        html.Form(page, Path, () =>
        {
            html.TextField(form, "address", page.Say("operator.address"), new FieldLook(page.Say("first.address-how"), Type: "email", AutoComplete: "email", IsRequired: true, Limit: 254));
            html.TextField(form, "name", page.Say("first.name"), new FieldLook(page.Say("operator.name-how"), AutoComplete: "name", Limit: 80));
            html.TextField(form, "hour", page.Say("operator.hour"), new FieldLook(Type: "time", IsRequired: true));
            html.ChoiceField(form, "units", page.Say("operator.units"), Units.Select(unit => (unit.Word, page.Say("operator.units-" + unit.Word))));
            html.Button(page.Say("first.next"));
        });
    });

    private async Task<PageAnswer> KeepAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string address = form.Text("address", 254, required: true);
        if (address.Length > 0 && MailAddresses.Check(address) is not null)
        {
            form.Fault("address", page.Say("entry.no-address"));
        }

        string name = form.Text("name", 80) is { Length: > 0 } given ? given : NameOf(address);
        if (!ActionLinks.CanHold(name))
        {
            form.Fault("name", page.Say("form.too-long", "80"));
        }

        LocalTime hour = form.Time("hour", required: true) ?? default;
        UnitSystem units = form.Choice("units", Units);
        if (!form.IsSound)
        {
            return Form(page, form);
        }

        desk.Draft = desk.Draft with { Grower = new FirstGrower(name, address, hour, units, page.Language.Tag()) };
        return page.Next(desk.Draft.NextStep);
    }

    /// <summary>"ada.quill@example.org" → "Ada Quill": a beginning, to be changed.</summary>
    internal static string NameOf(string address)
    {
        string[] words = address.Split('@')[0].Split(['.', '_', '-', '+'], StringSplitOptions.RemoveEmptyEntries);
        return string.Join(' ', words.Select(word => char.ToUpper(word[0], CultureInfo.InvariantCulture) + word[1..]));
    }
}

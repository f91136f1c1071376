using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Today;
using GraftWatch.Records.Register;

namespace GraftWatch.Pages.Grafts;

/// <summary>The fields of a graft: what every graft has first, what may stay empty folded away.</summary>
internal static class GraftFields
{
    /// <summary>Writes them.</summary>
    internal static void Write(Html html, PageContext page, PageForm form, Handbook handbook, IReadOnlyList<Place> places, bool isNew)
    {
        if (isNew)
        {
            html.TextField(form, RegisterColumns.Label, page.Say("graft-form.label"), new FieldLook(page.Say("graft-form.label-hint"), IsRequired: true, Limit: 60));
            html.TextField(form, "times", page.Say("graft-form.times"), new FieldLook(page.Say("graft-form.times-hint"), InputMode: "numeric"));
        }
        else
        {
            html.Hidden(RegisterColumns.Label, form.Raw(RegisterColumns.Label));
        }

        if (places.Count > 1)
        {
            html.ChoiceField(form, RegisterColumns.Place, page.Say("graft-form.place"), places.Select(place => (place.Name, place.Name)));
        }

        html.ChoiceField(form, RegisterColumns.Species, page.Say("graft-form.species"), handbook.Species.Values.Select(species => (species.Key, species.Name)));
        html.ChoiceField(form, RegisterColumns.Technique, page.Say("graft-form.technique"), Enum.GetValues<Technique>().Select(technique => (TradeNames.Key(technique), page.Of(technique))));
        html.TextField(form, RegisterColumns.Made, page.Say("graft-form.made"), new FieldLook(Type: "date", IsRequired: true));
        Aspect(html, page, form);
        foreach (string column in (string[])[RegisterColumns.Block, RegisterColumns.Row, RegisterColumns.Tree])
        {
            html.TextField(form, column, page.Say("graft-form." + column));
        }

        html.TextField(form, RegisterColumns.Scion, page.Say("graft-form.scion"));
        html.TextField(form, RegisterColumns.Stock, page.Say("graft-form.stock"));
        html.TextField(form, RegisterColumns.Count, page.Say("graft-form.count"), new FieldLook(page.Say("graft-form.count-hint"), InputMode: "numeric"));
        bool hasFault = form.Faults.Keys.Any(field => field is RegisterColumns.Tilt or RegisterColumns.Height or RegisterColumns.Diameter or RegisterColumns.Cover or RegisterColumns.Tie
            or RegisterColumns.Seal or RegisterColumns.Shoot or RegisterColumns.Bbch or RegisterColumns.NurseBuds or RegisterColumns.Staked or RegisterColumns.Notes);
        using (html.In("details", ("open", hasFault || !isNew ? string.Empty : null)))
        {
            html.Leaf("summary", page.Say("graft-form.more"));
            More(html, page, form, handbook);
        }
    }

    private static void Aspect(Html html, PageContext page, PageForm form)
    {
        string typed = form.Raw(RegisterColumns.Aspect);
        (string, string)[] points = [("", page.Say("graft-form.aspect-unknown")), .. Enumerable.Range(0, 16).Select(point => (Degrees(point), page.Compass(point * 22.5)))];
        if (!Array.Exists(points, point => point.Item1 == typed))
        {
            points = [.. points, (typed, typed + "°")];
        }

        html.ChoiceField(form, RegisterColumns.Aspect, page.Say("graft-form.aspect"), points, page.Say("graft-form.aspect-hint"));
    }

    private static string Degrees(int point) => (point * 22.5).ToString("0.#", System.Globalization.CultureInfo.InvariantCulture);

    private static void More(Html html, PageContext page, PageForm form, Handbook handbook)
    {
        bool inches = page.Grower.Units == UnitSystem.UnitedStates;
        string assumed = page.Say("graft-form.assumed");
        var number = new FieldLook(page.Say("graft-form.empty-hint"), InputMode: "decimal");
        html.TextField(form, RegisterColumns.Height, page.Say("graft-form.height", inches ? "in" : "cm"), number);
        html.TextField(form, RegisterColumns.Diameter, page.Say("graft-form.diameter", inches ? "in" : "mm"), number);
        html.TextField(form, RegisterColumns.Tilt, page.Say("graft-form.tilt"), number);
        html.ChoiceField(form, RegisterColumns.Cover, page.Say("graft-form.cover"), [("", assumed), .. handbook.Covers.Values.Select(cover => (cover.Key, cover.Name))]);
        html.ChoiceField(form, RegisterColumns.Tie, page.Say("graft-form.tie"), [("", assumed), .. handbook.Ties.Values.Select(tie => (tie.Key, tie.Name))]);
        html.ChoiceField(form, RegisterColumns.Seal, page.Say("graft-form.seal"), [("", assumed), .. handbook.Seals.Values.Select(seal => (seal.Key, seal.Name))]);
        html.TextField(form, RegisterColumns.Shoot, page.Say("graft-form.shoot", inches ? "in" : "cm"), new FieldLook(InputMode: "decimal"));
        html.TextField(form, RegisterColumns.Bbch, page.Say("graft-form.bbch"), new FieldLook(page.Say("graft-form.bbch-hint"), InputMode: "numeric"));
        html.TextField(form, RegisterColumns.NurseBuds, page.Say("graft-form.nurse-buds"), new FieldLook(InputMode: "numeric"));
        html.ChoiceField(form, RegisterColumns.Staked, page.Say("graft-form.staked"), [("", assumed), ("no", page.Of(ShootSupport.Free)), ("tied", page.Of(ShootSupport.Tied)), ("staked", page.Of(ShootSupport.Staked))]);
        html.LinesField(form, RegisterColumns.Notes, page.Say("graft-form.notes"), rows: 3);
    }
}

using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>The fields of a place: where it lies, how high, and what stands around it.</summary>
internal static class PlaceFields
{
    private const double MetresInFoot = 0.3048;

    // Stands in letters, which are written in English.
    private static readonly CompositeFormat Assumed = CompositeFormat.Parse("What was not asked about {0}, soil, ground and skyline, is taken as usual: loam, grass, a free horizon.");

    // As the settings file knows them (common practice, no source).
    private static readonly (string Word, double Value)[] Shelters = [("open", 1.0), ("hedged", 0.7), ("sheltered", 0.5), ("walled", 0.3)];

    /// <summary>A form that shows a place as it is.</summary>
    internal static PageForm Show(PageForm form, Place place, UnitSystem units)
    {
        bool states = units == UnitSystem.UnitedStates;
        (string word, _) = Shelters.MinBy(shelter => Math.Abs(shelter.Value - place.Site.ShelterWindFrac));
        return form
            .With("place", place.Name)
            .With("where", string.Create(CultureInfo.InvariantCulture, $"{place.Site.LatitudeDeg:0.#####}, {place.Site.LongitudeDeg:0.#####}"))
            .With("elevation", Math.Round(states ? place.Site.ElevationM / MetresInFoot : place.Site.ElevationM).ToString(CultureInfo.InvariantCulture))
            .With("shelter", word)
            .With("zone", place.Zone.Id)
            .With("frost", (place.Site.FrostOffsetK * (states ? 1.8 : 1)).ToString("0.#", CultureInfo.InvariantCulture));
    }

    /// <summary>How a height found by name stands in the form, whatever its units.</summary>
    internal static string WriteElevation(double elevationM) => string.Create(CultureInfo.InvariantCulture, $"{elevationM:0} m");

    /// <summary>Writes the fields.</summary>
    /// <param name="html">The page.</param>
    /// <param name="page">The request.</param>
    /// <param name="form">The form.</param>
    /// <param name="path">Where the form is sent.</param>
    /// <param name="mayRename">Whether the name of the place is among them.</param>
    /// <param name="look">What a search by name came to; null without one.</param>
    internal static void Write(Html html, PageContext page, PageForm form, string path, bool mayRename, PlaceLook? look = null)
    {
        if (mayRename)
        {
            html.TextField(form, "place", page.Say("place.name"), new FieldLook(page.Say("place.name-how"), IsRequired: true, Limit: 60));
        }

        PlaceFinder.Write(html, page, form, look, path);
        html.TextField(form, "where", page.Say("place.where"), new FieldLook(page.Say("place.where-how"), IsRequired: true, Limit: 2000));
        html.Leaf("button", page.Say("place.locate"), ("type", "button"), ("class", "second"), ("data-locate", string.Empty), ("data-locate-failed", page.Say("place.locate-failed")), ("hidden", string.Empty));
        html.TextField(form, "elevation", page.Say("place.elevation"), new FieldLook(page.Say("place.elevation-how"), IsRequired: true, Limit: 12));
        html.ChoiceField(form, "shelter", page.Say("place.shelter"), Shelters.Select(shelter => (shelter.Word, page.Say("place.shelter-" + shelter.Word))), page.Say("place.shelter-how"));
        html.TextField(form, "frost", page.Say("place.frost"), new FieldLook(page.Say("place.frost-how"), Limit: 6));
        html.TextField(form, "zone", page.Say("place.zone"), new FieldLook(page.Say("place.zone-how"), Limit: 60));
        html.Void("input", ("type", "hidden"), ("name", ZoneField.Device), ("data-zone", string.Empty));
    }

    /// <summary>Reads the fields; what is wrong stands in the form.</summary>
    /// <param name="page">The request.</param>
    /// <param name="form">The form that was sent.</param>
    /// <param name="units">Units a bare number is in.</param>
    /// <param name="before">The place as it was, for what the form does not ask; null for a new one.</param>
    internal static Place? Read(PageContext page, PageForm form, UnitSystem units, Place? before)
    {
        string name = before?.Name ?? form.Text("place", 60, required: true);
        string typed = form.Text("where", 2000, required: true);
        Position? where = WhereReader.Read(typed);
        if (where is null && typed.Length > 0)
        {
            form.Fault("where", page.Say("place.where-not"));
        }

        double elevationM = Elevation(page, form, units, where);
        double shelterFrac = form.Choice("shelter", Shelters);
        double frost = form.Number("frost", -15, 15);
        DateTimeZone? zone = ZoneField.Read(page, form, where, []);
        if (!form.IsSound || where is null || zone is null)
        {
            return null;
        }

        double frostOffsetK = double.IsNaN(frost) ? 0 : units == UnitSystem.UnitedStates ? frost / 1.8 : frost;
        Microclimate.Sites.Site site = before?.Site ?? new Microclimate.Sites.Site { LatitudeDeg = 0, LongitudeDeg = 0, ElevationM = 0 };
        return new Place(
            name,
            site with { LatitudeDeg = where.LatitudeDeg, LongitudeDeg = where.LongitudeDeg, ElevationM = elevationM, ShelterWindFrac = shelterFrac, FrostOffsetK = Math.Clamp(frostOffsetK, -8, 8) },
            zone)
        {
            Assumed = before?.Assumed ?? [string.Format(CultureInfo.InvariantCulture, Assumed, name)],
        };
    }

    private static double Elevation(PageContext page, PageForm form, UnitSystem units, Position? where)
    {
        string typed = form.Raw("elevation").Trim();
        if (typed.Length == 0 && where?.ElevationM is { } given)
        {
            return given;
        }

        bool feet = units == UnitSystem.UnitedStates;
        foreach ((string unit, bool isFeet) in ((string, bool)[])[("ft", true), ("feet", true), ("m", false)])
        {
            if (typed.EndsWith(unit, StringComparison.OrdinalIgnoreCase))
            {
                (typed, feet) = (typed[..^unit.Length], isFeet);
                break;
            }
        }

        double? value = Language.Figures.Parse(typed);
        double elevationM = value * (feet ? MetresInFoot : 1) ?? double.NaN;
        if (typed.Length == 0)
        {
            form.Fault("elevation", page.Say("form.needed"));
        }
        else if (elevationM is not (>= -430 and <= 9000))
        {
            form.Fault("elevation", page.Say("place.elevation-not"));
        }

        return elevationM;
    }
}

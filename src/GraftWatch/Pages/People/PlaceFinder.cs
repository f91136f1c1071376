using System.Globalization;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>The part of a place's form that finds it by name, where a geocoder is set: search, choose, and the fields are filled in. Nothing is kept by it.</summary>
internal sealed class PlaceFinder(PlaceSearch search, Limits limits)
{
    private const string Typed = "find";
    private const string Pressed = "search";
    private const string Chosen = "pick";
    private const string Answer = "found";
    private const char Between = ';';

    /// <summary>Writes the search and, after one, its hits.</summary>
    /// <param name="html">The page.</param>
    /// <param name="page">The request.</param>
    /// <param name="form">The form it stands in.</param>
    /// <param name="look">What the search came to; null before one.</param>
    /// <param name="path">Where the form is sent. The search's own buttons lead to the answer there, which a phone would not show otherwise.</param>
    internal static void Write(Html html, PageContext page, PageForm form, PlaceLook? look, string path)
    {
        if (page.Site.Geocoder is not { } geocoder)
        {
            return;
        }

        string answer = page.To(path) + "#" + Answer;
        using (html.In("fieldset"))
        {
            html.Leaf("legend", page.Say("place.find-title"));
            if (look is not null)
            {
                html.Leaf("p", look.Sentence, ("class", look.IsTrouble ? "alarm" : "said"), ("role", "status"), ("id", Answer));
            }

            foreach (PlaceHit hit in look?.Hits ?? [])
            {
                html.Leaf("button", Label(page, hit), ("type", "submit"), ("class", "second"), ("name", Chosen), ("value", Value(hit)), ("formnovalidate", string.Empty), ("formaction", answer));
            }

            html.TextField(form, Typed, page.Say("place.find"), new FieldLook(page.Say("place.find-how", geocoder.Host), Limit: 80));
            html.Leaf("button", page.Say("place.find-button"), ("type", "submit"), ("class", "second"), ("name", Pressed), ("value", "yes"), ("formnovalidate", string.Empty), ("formaction", answer));
        }
    }

    /// <summary>Searches or fills in when one of its buttons was pressed; null when the form is to be kept.</summary>
    /// <param name="page">The request.</param>
    /// <param name="form">The form that was sent.</param>
    /// <param name="writeElevation">How the height stands in the form. [m]</param>
    internal async Task<PlaceLook?> AnswerAsync(PageContext page, PageForm form, Func<double, string> writeElevation)
    {
        if (page.Site.Geocoder is not { } geocoder)
        {
            return null;
        }

        if (form.Raw(Chosen) is { Length: > 0 and <= 400 } chosen)
        {
            return Fill(page, form, chosen, writeElevation);
        }

        // The key that sends a form presses its first button: with nothing to look for, that was no search.
        if (!form.Flag(Pressed) || form.Raw(Typed).Trim().Length == 0)
        {
            return null;
        }

        string name = form.Text(Typed, 80);
        if (!form.IsSound || name.Length < 2)
        {
            form.Fault(Typed, page.Say("place.find-short"));
            return new PlaceLook([], page.Say("place.find-not"), IsTrouble: true);
        }

        if (!limits.MaySearch(page.Http, page.Who?.Session))
        {
            return new PlaceLook([], page.Say("place.find-often"), IsTrouble: true);
        }

        return await search.AskAsync(geocoder, name, page.Language.Tag(), page.Stopped).ConfigureAwait(false) switch
        {
            PlaceSearchResult.Found { Hits: { Count: > 0 } hits } => new PlaceLook(hits, page.Say("place.found"), IsTrouble: false),
            PlaceSearchResult.Found => new PlaceLook([], page.Say("place.found-none", geocoder.Host), IsTrouble: true),
            PlaceSearchResult.Failed { Why: PlaceSearchTrouble.NoAnswer } => new PlaceLook([], page.Say("place.find-failed", geocoder.Host), IsTrouble: true),
            PlaceSearchResult.Failed => new PlaceLook([], page.Say("place.find-strange", geocoder.Host), IsTrouble: true),
            _ => throw new System.Diagnostics.UnreachableException(),
        };
    }

    private static string Label(PageContext page, PlaceHit hit)
    {
        string where = string.Join(", ", [hit.Name, .. hit.Within]);
        string height = hit.Where.ElevationM is { } elevationM ? page.Figures.Elevation(elevationM) : page.Say("place.hit-no-height");
        return string.Join(" · ", new[] { where, height, hit.Zone?.Id }.OfType<string>());
    }

    private static string Value(PlaceHit hit) => string.Create(
        CultureInfo.InvariantCulture,
        $"{hit.Where.LatitudeDeg:0.#####}{Between}{hit.Where.LongitudeDeg:0.#####}{Between}{hit.Where.ElevationM:0}{Between}{hit.Zone?.Id}{Between}{hit.Name}");

    // What comes back is a request like any other: it fills fields, and those are read as if they were typed.
    private static PlaceLook? Fill(PageContext page, PageForm form, string chosen, Func<double, string> writeElevation)
    {
        if (chosen.Split(Between, 5) is not { Length: 5 } parts || WhereReader.Read($"{parts[0]}, {parts[1]}") is not { } where)
        {
            return new PlaceLook([], page.Say("place.find-not"), IsTrouble: true);
        }

        form.Put("where", string.Create(CultureInfo.InvariantCulture, $"{where.LatitudeDeg:0.#####}, {where.LongitudeDeg:0.#####}"));
        bool isHigh = double.TryParse(parts[2], NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out double elevationM);
        form.Put("elevation", isHigh ? writeElevation(elevationM) : string.Empty);
        form.Put("zone", DateTimeZoneProviders.Tzdb.GetZoneOrNull(parts[3])?.Id ?? string.Empty);
        form.Put(Typed, string.Empty);
        if (form.Raw("place").Trim().Length == 0)
        {
            form.Put("place", parts[4]);
        }

        return new PlaceLook([], page.Say(isHigh ? "place.picked" : "place.picked-no-height", parts[4]), IsTrouble: false);
    }
}

/// <summary>What a search of a place came to, as the form shows it.</summary>
/// <param name="Hits">Places to choose from.</param>
/// <param name="Sentence">What to say.</param>
/// <param name="IsTrouble">Whether it found nothing.</param>
internal sealed record PlaceLook(IReadOnlyList<PlaceHit> Hits, string Sentence, bool IsTrouble);

using GraftWatch.Pages.Language;
using GraftWatch.Pages.Routing;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>The field <c>zone</c> of a place: a name, or left empty for a guess by the position.</summary>
internal static class ZoneField
{
    /// <summary>Field in which script says the zone of the device.</summary>
    internal const string Device = "device-zone";

    /// <summary>Reads it. Where several clocks are possible and nothing speaks for one, the form asks: it comes back with the likeliest filled in.</summary>
    /// <param name="page">The request.</param>
    /// <param name="form">The form that was sent.</param>
    /// <param name="where">Position of the place; null when it could not be read.</param>
    /// <param name="near">Zones in use here; they speak for a clock, never for a name.</param>
    /// <returns>The zone; null when there is none yet.</returns>
    internal static DateTimeZone? Read(PageContext page, PageForm form, Position? where, IEnumerable<DateTimeZone> near)
    {
        string typed = form.Text("zone", 60);
        if (typed.Length > 0)
        {
            DateTimeZone? named = DateTimeZoneProviders.Tzdb.GetZoneOrNull(typed);
            if (named is null)
            {
                form.Fault("zone", page.Say("place.zone-not"));
            }

            return named;
        }

        if (where is null)
        {
            return null;
        }

        IReadOnlyList<DateTimeZone> possible = ZoneGuess.At(where, page.Now);
        DateTimeZone[] spokenFor = possible.Count == 1
            ? [possible[0]]
            : [.. possible.Where(zone => Speaking(form, near).Any(one => ZoneGuess.KeepsTimeOf(one, zone, page.Now)))];
        if (spokenFor.Length == 1)
        {
            return spokenFor[0];
        }

        string clocks = string.Join(", ", possible.Select(zone => page.Say("place.zone-now", zone.Id, new Days(page.Language, zone).Hour(page.Now))));
        form.Put("zone", possible[0].Id).Fault("zone", page.Say("place.zone-which", clocks));
        return null;
    }

    private static IEnumerable<DateTimeZone> Speaking(PageForm form, IEnumerable<DateTimeZone> near) =>
        DateTimeZoneProviders.Tzdb.GetZoneOrNull(form.Raw(Device)) is { } device ? [device] : near;
}

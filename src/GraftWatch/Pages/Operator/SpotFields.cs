using GraftWatch.Pages.People;
using GraftWatch.Pages.Routing;
using NodaTime;

namespace GraftWatch.Pages.Operator;

/// <summary>Where a place lies: position, height and zone, from the fields <c>where</c>, <c>elevation</c> and <c>zone</c>.</summary>
internal static class SpotFields
{
    private const double LowestM = -430;
    private const double HighestM = 9000;

    /// <summary>How a height found by name stands in the form.</summary>
    internal static string WriteElevation(double elevationM) => string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{elevationM:0}");

    /// <summary>Reads them; what is wrong stands in the form. An empty zone is guessed from the position.</summary>
    /// <param name="page">The request.</param>
    /// <param name="form">The form that was sent.</param>
    /// <param name="near">Zones in use here; they decide where several clocks are possible.</param>
    internal static Spot? Read(PageContext page, PageForm form, IEnumerable<DateTimeZone> near)
    {
        string typed = form.Text("where", 2000, required: true);
        Position? where = WhereReader.Read(typed);
        if (where is null && typed.Length > 0)
        {
            form.Fault("where", page.Say("operator.where-not"));
        }

        double elevationM = form.Raw("elevation").Trim().Length == 0 && where?.ElevationM is { } given ? given : form.Number("elevation", LowestM, HighestM, required: true);
        DateTimeZone? zone = ZoneField.Read(page, form, where, near);
        return form.IsSound && where is not null && zone is not null ? new Spot(where.LatitudeDeg, where.LongitudeDeg, elevationM, zone) : null;
    }
}

/// <summary>Where a place lies.</summary>
/// <param name="LatitudeDeg">North positive. [°]</param>
/// <param name="LongitudeDeg">East positive. [°]</param>
/// <param name="ElevationM">Height above the sea. [m]</param>
/// <param name="Zone">Time zone.</param>
internal sealed record Spot(double LatitudeDeg, double LongitudeDeg, double ElevationM, DateTimeZone Zone);

using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Microclimate.Sites;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>Brings the places of a register together with the locations of a saved reply.</summary>
/// <remarks>
/// A place that the settings know keeps its own coordinates and zone, and takes the location nearest to it. Places that
/// nobody described take the reply's locations: all of them the only one, or one each in the order in which they appear.
/// </remarks>
internal sealed class PlaceMatching
{
    private static readonly string[] NoZoneSaid = ["", "GMT", "UTC", "Etc/GMT", "Etc/UTC", "Z"];
    private readonly IReadOnlyDictionary<string, Place> configured;
    private readonly DateTimeZone? zone;
    private readonly string file;
    private readonly List<MatchedPlace> places = [];
    private readonly List<string> notes = [];
    private readonly List<string> faults = [];

    private PlaceMatching(IReadOnlyDictionary<string, Place> configured, DateTimeZone? zone, string file)
    {
        this.configured = configured;
        this.zone = zone;
        this.file = file;
    }

    /// <summary>Matches.</summary>
    /// <param name="names">Place names in order of first appearance.</param>
    /// <param name="locations">Locations of the reply, at least one.</param>
    /// <param name="configured">Places the settings describe.</param>
    /// <param name="zone">Zone the user named for all places, or null.</param>
    /// <param name="file">Name of the file, for sentences.</param>
    internal static PlaceMatchingResult Match(
        IReadOnlyList<string> names,
        IReadOnlyList<ReplyLocation> locations,
        IReadOnlyDictionary<string, Place> configured,
        DateTimeZone? zone,
        string file)
    {
        var matching = new PlaceMatching(configured, zone, file);
        matching.MatchAll(names, locations);
        return new PlaceMatchingResult(matching.places, matching.notes, matching.faults);
    }

    private void MatchAll(IReadOnlyList<string> names, IReadOnlyList<ReplyLocation> locations)
    {
        string[] unknown = [.. names.Where(name => !configured.ContainsKey(name))];
        if (locations.Count > 1 && unknown.Length > locations.Count)
        {
            faults.Add($"The register names {unknown.Length} places, {file} holds {locations.Count} locations. Describe the places in graftwatch.toml (--config), or save a reply with one location a place.");
            return;
        }

        // A place the settings almost have is a slip of the pen: it must not take the weather of whichever location comes next.
        foreach (string name in unknown)
        {
            if (NearestName.Of(name, configured.Keys) is { } near)
            {
                faults.Add($"The register names the place {name}, which the settings do not have. Nearest known: {near}.");
            }
        }

        foreach (string name in names)
        {
            if (configured.TryGetValue(name, out Place? known))
            {
                Place place = zone is null ? known : known with { Zone = zone };
                places.Add(new MatchedPlace(place, locations.MinBy(location => SquaredDegrees(known.Site, location))!));
                continue;
            }

            ReplyLocation location = locations.Count == 1 ? locations[0] : locations[Array.IndexOf(unknown, name)];
            if (location.LatitudeDeg is not { } latitudeDeg || location.LongitudeDeg is not { } longitudeDeg)
            {
                faults.Add($"{file} does not say where location {location.Index + 1} lies. Describe {name} in graftwatch.toml (--config).");
                continue;
            }

            places.Add(new MatchedPlace(PlaceFrom(name, location, latitudeDeg, longitudeDeg), location));
        }

        if (locations.Count > 1 && unknown.Length > 0)
        {
            notes.Add($"{file} holds {locations.Count} locations; places take them in the order in which they appear in the register: "
                + string.Join("; ", unknown.Select((name, i) => string.Create(CultureInfo.InvariantCulture, $"{name} = {locations[i].LatitudeDeg:0.####}, {locations[i].LongitudeDeg:0.####}"))) + ".");
        }
    }

    private Place PlaceFrom(string name, ReplyLocation location, double latitudeDeg, double longitudeDeg)
    {
        var assumed = new List<string> { $"coordinates and elevation of {file}" };
        if (location.ElevationM is null)
        {
            assumed.Add("elevation: 0 m, the reply does not say");
        }

        var site = new Site { LatitudeDeg = latitudeDeg, LongitudeDeg = longitudeDeg, ElevationM = location.ElevationM ?? 0 };
        if (zone is null && NamedZone(location.TimeZone) is null)
        {
            assumed.Add($"zone: {ZoneOf(location).Id} from the longitude, without summer time; name the real one with --zone");
        }

        return new Place(name, site, zone ?? ZoneOf(location)) { Assumed = assumed };
    }

    /// <summary>The zone a location says, or the offset that fits its longitude when it says none.</summary>
    internal static DateTimeZone ZoneOf(ReplyLocation location) =>
        NamedZone(location.TimeZone) ?? DateTimeZone.ForOffset(Offset.FromHours((int)Math.Round((location.LongitudeDeg ?? 0) / 15, MidpointRounding.AwayFromZero)));

    private static DateTimeZone? NamedZone(string? name) =>
        name is null || NoZoneSaid.Contains(name) ? null : DateTimeZoneProviders.Tzdb.GetZoneOrNull(name);

    // Only compared, never shown: degrees are good enough to tell which location is nearer.
    private static double SquaredDegrees(Site site, ReplyLocation location)
    {
        if (location.LatitudeDeg is not { } latitudeDeg || location.LongitudeDeg is not { } longitudeDeg)
        {
            return double.MaxValue;
        }

        double north = latitudeDeg - site.LatitudeDeg;
        double east = (longitudeDeg - site.LongitudeDeg) * Math.Cos(site.LatitudeDeg * Math.PI / 180);
        return north * north + east * east;
    }
}

/// <summary>What came of matching.</summary>
/// <param name="Places">Places with their locations, in the order of the names.</param>
/// <param name="Notes">What was taken for granted, for standard error.</param>
/// <param name="Faults">Why it could not be done; then the places are not to be used.</param>
internal sealed record PlaceMatchingResult(IReadOnlyList<MatchedPlace> Places, IReadOnlyList<string> Notes, IReadOnlyList<string> Faults);

/// <summary>A place and the location whose hours it takes.</summary>
internal sealed record MatchedPlace(Place Place, ReplyLocation Location);

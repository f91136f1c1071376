using System.Globalization;
using System.Text;
using NodaTime;
using NodaTime.TimeZones;

namespace GraftWatch.Pages.People;

/// <summary>A first guess of a place's time zone: that of the nearest town. Near a border another clock may be right, so it is named too.</summary>
/// <remarks>
/// Towns: those the IANA zone table names, one a zone, and 734 of GeoNames (CC BY 4.0, <c>zone-towns.txt</c>), chosen so that
/// the nearest one tells most often. docs/decisions/0087-zone-of-a-place.md has the figures.
/// </remarks>
internal static class ZoneGuess
{
    private const double EarthRadiusKm = 6371;

    // Another clock is possible when its nearest town is hardly farther: this finds nine in ten of the wrong guesses and asks one time in twelve.
    private const double HardlyFarther = 1.25;
    private const double HardlyFartherKm = 10;

    // So near that it is possible however near a town with its own clock is: towns face each other across a river.
    private const double AcrossTheRiverKm = 20;

    // Years for which clocks must agree to count as one.
    private static readonly Duration Ahead = Duration.FromDays(3 * 366);
    private static readonly Town[] Towns = [.. OfTheZoneTable(), .. OfOurList()];

    /// <summary>Zones that can be chosen, by name.</summary>
    internal static IReadOnlyList<string> All { get; } = [.. TzdbDateTimeZoneSource.Default.ZoneLocations!.Select(town => town.ZoneId).Distinct().Order(StringComparer.Ordinal)];

    /// <summary>The zones that are possible at a position, the likeliest first; each keeps another clock, and mostly there is only one.</summary>
    /// <param name="position">Where.</param>
    /// <param name="now">From when on clocks are compared.</param>
    internal static IReadOnlyList<DateTimeZone> At(Position position, Instant now)
    {
        (DateTimeZone Zone, double Km)[] nearest = [.. Towns
            .Select(town => (town.Zone, Km: town.KmTo(position)))
            .GroupBy(town => town.Zone)
            .Select(towns => (towns.Key, Km: towns.Min(town => town.Km)))
            .OrderBy(zone => zone.Km)];
        double mostKm = Math.Max((nearest[0].Km * HardlyFarther) + HardlyFartherKm, AcrossTheRiverKm);
        var possible = new List<DateTimeZone>();
        foreach ((DateTimeZone zone, double km) in nearest)
        {
            if (km > mostKm)
            {
                break;
            }

            if (!possible.Exists(known => KeepsTimeOf(known, zone, now)))
            {
                possible.Add(zone);
            }
        }

        return possible;
    }

    /// <summary>Whether two zones show the same time for some years to come.</summary>
    internal static bool KeepsTimeOf(DateTimeZone one, DateTimeZone other, Instant now) =>
        one.Equals(other) || Hours(one, now).SequenceEqual(Hours(other, now));

    private static IEnumerable<(Instant From, Offset Hours)> Hours(DateTimeZone zone, Instant now) =>
        zone.GetZoneIntervals(now, now + Ahead).Select(interval => (interval.HasStart && interval.Start > now ? interval.Start : now, interval.WallOffset));

    private static IEnumerable<Town> OfTheZoneTable() =>
        TzdbDateTimeZoneSource.Default.ZoneLocations!.Select(town => new Town(DateTimeZoneProviders.Tzdb[town.ZoneId], town.Latitude, town.Longitude));

    private static IEnumerable<Town> OfOurList()
    {
        using Stream stream = typeof(ZoneGuess).Assembly.GetManifestResourceStream("zone-towns.txt")!;
        using var reader = new StreamReader(stream, Encoding.UTF8);
        while (reader.ReadLine() is { } line)
        {
            // A zone that newer zone data has dropped is no reason to guess nothing.
            if (line.Length > 0 && line[0] != '#' && line.Split('\t') is { Length: 4 } cells && DateTimeZoneProviders.Tzdb.GetZoneOrNull(cells[0]) is { } zone)
            {
                yield return new Town(zone, double.Parse(cells[1], CultureInfo.InvariantCulture), double.Parse(cells[2], CultureInfo.InvariantCulture));
            }
        }
    }

    private sealed record Town(DateTimeZone Zone, double LatitudeDeg, double LongitudeDeg)
    {
        // Haversine.
        internal double KmTo(Position there)
        {
            double north = Math.Sin(double.DegreesToRadians(LatitudeDeg - there.LatitudeDeg) / 2);
            double east = Math.Sin(double.DegreesToRadians(LongitudeDeg - there.LongitudeDeg) / 2);
            double chord = (north * north) + (Math.Cos(double.DegreesToRadians(there.LatitudeDeg)) * Math.Cos(double.DegreesToRadians(LatitudeDeg)) * east * east);
            return 2 * EarthRadiusKm * Math.Asin(Math.Min(1, Math.Sqrt(chord)));
        }
    }
}

using NodaTime;
using NodaTime.TimeZones;

namespace GraftWatch.Pages.People;

/// <summary>A first guess of a place's time zone: that of the nearest town the zone data names. Near a border it may be the neighbour's.</summary>
internal static class ZoneGuess
{
    /// <summary>The zone of the nearest town.</summary>
    internal static DateTimeZone At(Position position)
    {
        TzdbZoneLocation nearest = TzdbDateTimeZoneSource.Default.ZoneLocations!.MinBy(town => Apart(position, town.Latitude, town.Longitude))!;
        return DateTimeZoneProviders.Tzdb[nearest.ZoneId];
    }

    /// <summary>Zones that can be chosen, by name.</summary>
    internal static IReadOnlyList<string> All { get; } = [.. TzdbDateTimeZoneSource.Default.ZoneLocations!.Select(town => town.ZoneId).Distinct().Order(StringComparer.Ordinal)];

    // Haversine of the angle between two points: grows with the distance, which is all that is compared.
    private static double Apart(Position here, double latitudeDeg, double longitudeDeg)
    {
        double north = Math.Sin(double.DegreesToRadians(latitudeDeg - here.LatitudeDeg) / 2);
        double east = Math.Sin(double.DegreesToRadians(longitudeDeg - here.LongitudeDeg) / 2);
        return (north * north) + (Math.Cos(double.DegreesToRadians(here.LatitudeDeg)) * Math.Cos(double.DegreesToRadians(latitudeDeg)) * east * east);
    }
}

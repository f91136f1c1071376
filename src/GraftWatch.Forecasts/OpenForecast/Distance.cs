using System.Globalization;
using GraftWatch.Microclimate.Sites;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>How far the weather's own point is from the place.</summary>
internal static class Distance
{
    // A cell of a global model may lie half a cell away; beyond this the reply is for somewhere else.
    private const double FarM = 15_000;

    // At the usual 6.5 K/km this is one kelvin.
    private const double HighM = 150;

    /// <summary>Great-circle distance on a sphere of the mean Earth radius (IUGG 6371.0 km). [m]; null when the location has no coordinates.</summary>
    public static double? Metres(Site site, ReplyLocation location) =>
        location is { LatitudeDeg: { } latitudeDeg, LongitudeDeg: { } longitudeDeg }
            ? Metres(site.LatitudeDeg, site.LongitudeDeg, latitudeDeg, longitudeDeg)
            : null;

    public static double Metres(double latitude1Deg, double longitude1Deg, double latitude2Deg, double longitude2Deg)
    {
        double phi1 = double.DegreesToRadians(latitude1Deg), phi2 = double.DegreesToRadians(latitude2Deg);
        double halfPhi = Math.Sin((phi2 - phi1) / 2), halfLambda = Math.Sin(double.DegreesToRadians(longitude2Deg - longitude1Deg) / 2);
        double a = (halfPhi * halfPhi) + (Math.Cos(phi1) * Math.Cos(phi2) * halfLambda * halfLambda);
        return 2 * 6_371_000 * Math.Asin(Math.Min(1, Math.Sqrt(a)));
    }

    public static IEnumerable<string> Remarks(Site site, ReplyLocation location, string name)
    {
        if (Metres(site, location) is { } distanceM && distanceM > FarM)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{name} is for a point {distanceM / 1000:N0} km from the place.");
        }

        if (location.ElevationM is { } elevationM && Math.Abs(elevationM - site.ElevationM) > HighM)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{name} is for {elevationM:0} m above the sea, the place lies at {site.ElevationM:0} m.");
        }
    }
}

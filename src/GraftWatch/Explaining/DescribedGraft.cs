using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Records.Register;
using NodaTime;

namespace GraftWatch.Explaining;

/// <summary>A graft described on the command line. It is read as a row of a register, so that the same defaults and the same checks apply.</summary>
internal sealed record DescribedGraft
{
    private const string Label = "described";
    private const string PlaceName = "here";

    /// <summary>Distance over which weather counts as of the same place. [°], engineering choice: the mesh of coarse forecasts.</summary>
    private const double MostDegreesApart = 0.5;

    /// <summary>Difference of height over which it does not: two kelvin of air and more. [m], engineering choice.</summary>
    private const double MostMetresApart = 300;

    /// <summary>Cells by column name of the register; empty ones take the register's defaults.</summary>
    internal required IReadOnlyDictionary<string, string?> Cells { get; init; }

    /// <summary>Latitude. [°]; null to take the reply's.</summary>
    internal double? LatitudeDeg { get; init; }

    /// <summary>Longitude. [°]</summary>
    internal double? LongitudeDeg { get; init; }

    /// <summary>Elevation. [m]</summary>
    internal double? ElevationM { get; init; }

    /// <summary>Zone; null to take the reply's.</summary>
    internal DateTimeZone? Zone { get; init; }

    /// <summary>Whether the user described anything at all.</summary>
    internal bool IsGiven => Cells.Values.Any(value => value is not null) || LatitudeDeg is not null || LongitudeDeg is not null || ElevationM is not null;

    /// <summary>The register of this one graft as CSV. What every register has is always there, so that a graft without it is told so.</summary>
    internal byte[] Csv()
    {
        KeyValuePair<string, string?>[] given = [.. Cells.Where(cell => cell.Value is not null || RegisterColumns.Required.Contains(cell.Key))];
        string header = "label,place" + string.Concat(given.Select(cell => "," + cell.Key));
        string row = Label + "," + PlaceName + string.Concat(given.Select(cell => ",\"" + (cell.Value ?? string.Empty).Replace("\"", "\"\"", StringComparison.Ordinal) + "\""));
        return Encoding.UTF8.GetBytes(header + "\n" + row + "\n");
    }

    /// <summary>A fault of the register in the words of the command line, which has options in place of columns.</summary>
    internal static string Words(RegisterFault fault)
    {
        string problem = fault.Problem == "The cell is empty." ? "It is missing." : fault.Problem;
        return $"--{fault.Column.Split('_')[0]}: {problem} {fault.Expected}".TrimEnd();
    }

    /// <summary>The place the user described; null when the reply's is to be taken, or with a fault.</summary>
    /// <param name="locations">Locations of the weather given with it; empty when the weather is fetched for the place.</param>
    /// <param name="weatherName">Name of that weather, for sentences.</param>
    /// <param name="faults">Takes every fault.</param>
    internal Place? Place(IReadOnlyList<ReplyLocation> locations, string weatherName, List<string> faults)
    {
        int before = faults.Count;
        FaultCoordinates(faults);
        if (faults.Count > before || LatitudeDeg is not { } latitudeDeg || LongitudeDeg is not { } longitudeDeg)
        {
            return null;
        }

        ReplyLocation? near = locations.MinBy(location => DegreesApart(location, latitudeDeg, longitudeDeg));
        if (near is not null)
        {
            FaultElsewhere(near, latitudeDeg, longitudeDeg, weatherName, faults);
        }

        var assumed = new List<string>();
        if (ElevationM is null)
        {
            assumed.Add(near?.ElevationM is { } taken
                ? string.Create(CultureInfo.InvariantCulture, $"elevation: {taken:0} m of {weatherName}")
                : "elevation: 0 m; name the real one with --elevation");
        }

        DateTimeZone zone = Zone ?? DateTimeZone.ForOffset(Offset.FromHours((int)Math.Round(longitudeDeg / 15, MidpointRounding.AwayFromZero)));
        if (Zone is null)
        {
            assumed.Add($"zone: {zone.Id} from the longitude, without summer time; name the real one with --zone");
        }

        var site = new Site { LatitudeDeg = latitudeDeg, LongitudeDeg = longitudeDeg, ElevationM = ElevationM ?? near?.ElevationM ?? 0 };
        return new Place(PlaceName, site, zone) { Assumed = assumed };
    }

    /// <summary>Reads the graft alone, for a round whose weather is fetched.</summary>
    internal RegisterReading Read(Handbook handbook, LocalDate today) => RegisterCsv.Parse(
        Csv(), handbook, today, new RegisterContext { LatitudesDeg = new Dictionary<string, double> { [PlaceName] = LatitudeDeg ?? 0 } });

    private void FaultCoordinates(List<string> faults)
    {
        if (LatitudeDeg is not (null or (>= -90 and <= 90)))
        {
            faults.Add(string.Create(CultureInfo.InvariantCulture, $"--lat: {LatitudeDeg} is out of range. Expected -90 to 90 degrees north."));
        }

        if (LongitudeDeg is not (null or (>= -180 and <= 180)))
        {
            faults.Add(string.Create(CultureInfo.InvariantCulture, $"--lon: {LongitudeDeg} is out of range. Expected -180 to 180 degrees east."));
        }

        if (ElevationM is not (null or (>= -430 and <= 9000)))
        {
            faults.Add(string.Create(CultureInfo.InvariantCulture, $"--elevation: {ElevationM} is out of range. Expected -430 to 9000 metres."));
        }

        if (LatitudeDeg is null != LongitudeDeg is null || (ElevationM is not null && LatitudeDeg is null))
        {
            faults.Add("--lat, --lon, --elevation: give both coordinates, or leave all three out to take those of --weather.");
        }
    }

    private void FaultElsewhere(ReplyLocation near, double latitudeDeg, double longitudeDeg, string weatherName, List<string> faults)
    {
        bool away = DegreesApart(near, latitudeDeg, longitudeDeg) is > MostDegreesApart and < double.MaxValue;
        bool aloft = ElevationM is { } heightM && near.ElevationM is { } weatherM && Math.Abs(heightM - weatherM) > MostMetresApart;
        if (away || aloft)
        {
            string here = ElevationM is { } elevationM ? string.Create(CultureInfo.InvariantCulture, $"{latitudeDeg:0.####}, {longitudeDeg:0.####} at {elevationM:0} m") : string.Create(CultureInfo.InvariantCulture, $"{latitudeDeg:0.####}, {longitudeDeg:0.####}");
            string there = string.Create(CultureInfo.InvariantCulture, $"{near.LatitudeDeg:0.####}, {near.LongitudeDeg:0.####}{(near.ElevationM is { } m ? $" at {m:0} m" : string.Empty)}");
            faults.Add($"--lat, --lon, --elevation describe {here}, but {weatherName} holds the weather of {there}. Leave the three out to take the place of the weather, or give weather of your place.");
        }
    }

    // Only compared, never shown: a location that does not say where it lies cannot be told to lie elsewhere.
    private static double DegreesApart(ReplyLocation location, double latitudeDeg, double longitudeDeg)
    {
        if (location.LatitudeDeg is not { } north || location.LongitudeDeg is not { } east)
        {
            return double.MaxValue;
        }

        double across = Math.IEEERemainder(east - longitudeDeg, 360) * Math.Cos(latitudeDeg * Math.PI / 180);
        return Math.Sqrt((north - latitudeDeg) * (north - latitudeDeg) + across * across);
    }

    /// <summary>The label it goes by.</summary>
    internal static string LabelOf(RoundRequest request) => request.Grafts[0].Label;
}

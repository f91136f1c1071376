using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Records.Register;
using NodaTime;

namespace GraftWatch.Explaining;

/// <summary>A graft described on the command line. It is read as a row of a register, so that the same defaults and the same checks apply.</summary>
internal sealed record DescribedGraft
{
    private const string Label = "described";
    private const string PlaceName = "here";

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
    internal bool IsGiven => Cells.Values.Any(value => value is not null) || LatitudeDeg is not null || LongitudeDeg is not null;

    /// <summary>The register of this one graft as CSV.</summary>
    internal byte[] Csv()
    {
        KeyValuePair<string, string?>[] given = [.. Cells.Where(cell => cell.Value is not null)];
        string header = "label,place" + string.Concat(given.Select(cell => "," + cell.Key));
        string row = Label + "," + PlaceName + string.Concat(given.Select(cell => ",\"" + cell.Value!.Replace("\"", "\"\"", StringComparison.Ordinal) + "\""));
        return Encoding.UTF8.GetBytes(header + "\n" + row + "\n");
    }

    /// <summary>The place the user described; null when the reply's is to be taken.</summary>
    internal Place? Place(List<string> faults)
    {
        if (LatitudeDeg is null && LongitudeDeg is null)
        {
            return null;
        }

        if (LatitudeDeg is not (>= -90 and <= 90) || LongitudeDeg is not (>= -180 and <= 180) || ElevationM is not (null or (>= -430 and <= 9000)))
        {
            faults.Add("--lat, --lon, --elevation: give both coordinates in degrees, -90 to 90 and -180 to 180, and the elevation in metres, -430 to 9000.");
            return null;
        }

        var assumed = new List<string>();
        if (ElevationM is null)
        {
            assumed.Add("elevation: 0 m; name the real one with --elevation");
        }

        DateTimeZone zone = Zone ?? DateTimeZone.ForOffset(Offset.FromHours((int)Math.Round(LongitudeDeg.Value / 15, MidpointRounding.AwayFromZero)));
        if (Zone is null)
        {
            assumed.Add($"zone: {zone.Id} from the longitude, without summer time; name the real one with --zone");
        }

        var site = new Site { LatitudeDeg = LatitudeDeg.Value, LongitudeDeg = LongitudeDeg.Value, ElevationM = ElevationM ?? 0 };
        return new Place(PlaceName, site, zone) { Assumed = assumed };
    }

    /// <summary>Reads the graft alone, for a round whose weather is fetched.</summary>
    internal RegisterReading Read(Handbook handbook, LocalDate today) => RegisterCsv.Parse(Csv(), handbook, today, new RegisterContext { File = "command line" });

    /// <summary>The label it goes by.</summary>
    internal static string LabelOf(RoundRequest request) => request.Grafts[0].Label;
}

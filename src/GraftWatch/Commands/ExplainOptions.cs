using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using GraftWatch.Explaining;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>The options of <c>explain</c>.</summary>
internal sealed class ExplainOptions
{
    internal Option<string?> Graft { get; } = new("--graft") { Description = "Label of a graft of the register.", HelpName = "ID" };

    internal Option<string?> Weather { get; } = SharedOptions.Weather();

    internal Option<string?> Grafts { get; } = SharedOptions.Grafts();

    internal Option<string?> Config { get; } = SharedOptions.Config();

    internal Option<string?> Grower { get; } = SharedOptions.Grower();

    internal Option<DateTimeZone?> Zone { get; } = SharedOptions.Zone();

    internal Option<LocalDate?> Date { get; } = SharedOptions.Date("--date", "The local day that counts as today; left out, today, or the last day of a saved reply that does not reach it.");

    internal Option<LocalDate?> From { get; } = SharedOptions.Date("--from", "First local day shown.");

    internal Option<LocalDate?> To { get; } = SharedOptions.Date("--to", "Last local day shown.");

    internal Option<LocalDate?> Round { get; } = SharedOptions.Date("--round", "Instead of hours: what the round of this day says of the graft, why, and why it does not say the rest.");

    internal Option<string> Format { get; } = new("--format")
    {
        Description = "How hours are printed: table (local time, with a legend), csv or json (UTC, all hours).",
        HelpName = "table|csv|json",
        DefaultValueFactory = _ => "table",
    };

    internal Option<string?> Picture { get; } = new("--picture") { Description = "Also draw the hours into this file.", HelpName = "FILE.svg" };

    private Option<double?> Latitude { get; } = Degrees("--lat", "Latitude of a described graft, degrees north; left out, with --lon and --elevation, the place of --weather.");

    private Option<double?> Longitude { get; } = Degrees("--lon", "Longitude, degrees east.");

    private Option<double?> Elevation { get; } = Number("--elevation", "Height above the sea, metres.", "METRES");

    private (Option<string?> Option, string Column)[] Cells { get; } =
    [
        (Cell("--species", "Species of a described graft, by the name in species.toml.", "NAME"), "species"),
        (Cell("--technique", "How it was made: whip-and-tongue, cleft, bark, chip-bud and others.", "NAME"), "technique"),
        (Cell("--made", "Day of grafting.", "YYYY-MM-DD"), "made"),
        (Cell("--aspect", "Direction it faces: degrees clockwise from north, or N to NNW.", "DEG"), "aspect"),
        (Cell("--tilt", "Lean from the vertical, degrees.", "DEG"), "tilt"),
        (Cell("--height", "Height of the union above the ground, metres.", "METRES"), "height_m"),
        (Cell("--diameter", "Diameter at the union, millimetres.", "MM"), "diameter_mm"),
        (Cell("--cover", "Cover, by the name in materials.toml.", "NAME"), "cover"),
        (Cell("--tie", "Tie, by the name in materials.toml.", "NAME"), "tie"),
        (Cell("--seal", "Seal, by the name in materials.toml.", "NAME"), "seal"),
        (Cell("--shoot", "Length of the longest shoot, centimetres.", "CM"), "shoot_cm"),
        (Cell("--bbch", "BBCH code of the buds.", "CODE"), "bbch"),
        (Cell("--staked", "How the shoot is held, as the register writes it.", "WORD"), "staked"),
    ];

    /// <summary>All options, in the order of the help.</summary>
    internal IEnumerable<Option> All =>
    [
        Graft, Weather, Grafts, Config, Grower, Date, Round, From, To, Format, Picture, Zone, Latitude, Longitude, Elevation, .. Cells.Select(cell => (Option)cell.Option),
    ];

    internal ExplainOptions() => Format.AcceptOnlyFromAmong("table", "csv", "json");

    /// <summary>The graft as described on the command line.</summary>
    internal DescribedGraft DescribedGraft(ParseResult parsed) => new()
    {
        Cells = Cells.ToDictionary(cell => cell.Column, cell => parsed.GetValue(cell.Option)),
        LatitudeDeg = parsed.GetValue(Latitude),
        LongitudeDeg = parsed.GetValue(Longitude),
        ElevationM = parsed.GetValue(Elevation),
        Zone = parsed.GetValue(Zone),
    };

    private static Option<string?> Cell(string name, string description, string help) => new(name) { Description = description, HelpName = help };

    private static Option<double?> Degrees(string name, string description) => Number(name, description, "DEG");

    private static Option<double?> Number(string name, string description, string help) => new(name)
    {
        Description = description,
        HelpName = help,
        CustomParser = result => Parse(result, name),
    };

    private static double? Parse(ArgumentResult result, string name)
    {
        string text = result.Tokens[0].Value;
        if (double.TryParse(text, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double number))
        {
            return number;
        }

        result.AddError($"{name}: '{text}' is not a number; write it with a decimal point, such as 47.66.");
        return null;
    }
}

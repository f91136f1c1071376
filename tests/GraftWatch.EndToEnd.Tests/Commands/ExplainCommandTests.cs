using System.Globalization;
using System.Text.Json;
using System.Xml.Linq;
using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Commands;

public sealed class ExplainCommandTests : IDisposable
{
    // The contract with other programs: these names, in this order.
    private const string Header =
        "time,air_c,rh_pct,dew_point_c,wind_ms,gust_ms,ghi_wm2,sun_altitude_deg,sun_azimuth_deg,beam_on_union_wm2,diffuse_on_union_wm2,bark_c,cambium_c,"
        + "tissue_night_c,vpd_kpa,et0_mm,soil_c,sap_index,shoot_moment_nm,shoot_safety,healing_rate,healing_days,stage";

    private static readonly string Weather = Repository.PathOf("src", "GraftWatch", "Demo", "weather.json");
    private static readonly string Register = Repository.PathOf("src", "GraftWatch", "Demo", "register.csv");
    private readonly CommandRun run = new();

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task Csv_has_the_columns_of_the_contract_and_one_line_for_every_hour_of_the_file()
    {
        await DescribeAsync("--format", "csv");
        string[] lines = run.Results.TrimEnd('\n').Split('\n');
        Assert.Equal(Header, lines[0]);
        Assert.Equal(66 * 24, lines.Length - 1);
        Assert.StartsWith("2026-03-18T00:00:00Z,", lines[1], StringComparison.Ordinal);
        Assert.All(lines.Skip(1), line => Assert.Equal(23, line.Split(',').Length));
        Assert.DoesNotContain("NaN", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_weather_of_the_file_is_repeated_unchanged()
    {
        await DescribeAsync("--format", "csv");
        using JsonDocument reply = JsonDocument.Parse(File.ReadAllText(Weather));
        double[] air = [.. reply.RootElement.GetProperty("hourly").GetProperty("temperature_2m").EnumerateArray().Select(value => value.GetDouble())];
        double[] shown = [.. Column("air_c").Select(double.Parse)];
        Assert.Equal(air, shown);
    }

    // Solstice-near noon at 48.02 N, 9.06 E: the sun of 12 May culminates near 90 - 48.02 + 18.2 = 60.2 degrees
    // (declination 18.2 on 12 May: Astronomical Almanac, from memory), about 11:20 UTC.
    [Fact]
    public async Task The_sun_stands_where_the_almanac_puts_it()
    {
        await DescribeAsync("--format", "csv", "--from", "2026-05-12", "--to", "2026-05-12");
        double[] altitude = [.. Column("sun_altitude_deg").Select(Number)];
        Assert.InRange(altitude.Max(), 59.4, 60.4);
        Assert.Equal("2026-05-12T12:00:00Z", Column("time")[Array.IndexOf(altitude, altitude.Max())]);
    }

    [Fact]
    public async Task Foil_keeps_the_cambium_of_a_sunny_union_cooler_than_bare_bark()
    {
        await DescribeAsync("--format", "csv", "--from", "2026-05-12", "--to", "2026-05-12");
        double bare = Column("cambium_c").Max(Number);
        await DescribeAsync("--format", "csv", "--from", "2026-05-12", "--to", "2026-05-12", "--cover", "foil");
        Assert.True(Column("cambium_c").Max(Number) < bare - 2, "foil gains less than 2 K in full sun");
    }

    [Fact]
    public async Task Json_says_where_each_column_came_from()
    {
        await DescribeAsync("--format", "json", "--date", "2026-05-12");
        JsonElement graft = JsonDocument.Parse(run.Results).RootElement;
        Assert.Equal(66 * 24, graft.GetProperty("hours").GetArrayLength());
        JsonElement air = graft.GetProperty("origins").GetProperty("air_c");
        Assert.True(air.GetProperty("analysed").GetInt32() > 1000);
        Assert.True(air.GetProperty("forecast").GetInt32() > 200);
        Assert.True(graft.GetProperty("origins").GetProperty("cambium_c").GetProperty("derived").GetInt32() > 1000);
    }

    [Fact]
    public async Task The_table_has_a_legend_with_origins_and_assumptions()
    {
        Assert.Equal(0, await run.RunAsync("explain", "--graft", "B1-02", "--grafts", Register, "--weather", Weather, "--date", "2026-05-12", "--zone", "Europe/Berlin"));
        Assert.Contains("B1-02: apple, cleft", run.Results, StringComparison.Ordinal);
        Assert.Contains("Tue 12 May 2026", run.Results, StringComparison.Ordinal);
        Assert.Matches("air +air at 2 m at the stamp, °C \\[.*forecast", run.Results);
        Assert.Contains("Assumed: ", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_picture_is_an_svg_that_reads_on_light_and_dark_ground()
    {
        Assert.Equal(0, await run.RunAsync("explain", "--graft", "A1-01", "--grafts", Register, "--weather", Weather, "--date", "2026-05-12", "--picture", "hours.svg"));
        XDocument picture = XDocument.Load(Path.Combine(run.Folder, "hours.svg"));
        Assert.Equal("svg", picture.Root!.Name.LocalName);
        Assert.Contains("prefers-color-scheme:dark", picture.ToString(), StringComparison.Ordinal);
        Assert.Contains("A1-01", picture.Root.Attribute("aria-label")!.Value, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("D1-01")]
    [InlineData("A1-01")]
    public async Task Every_kind_of_dated_work_is_said_or_has_its_own_reason_for_silence(string graft)
    {
        string[] arguments = ["explain", "--round", "2026-05-12", "--graft", graft, "--grafts", Register, "--weather", Weather, "--zone", "Europe/Berlin"];
        Assert.True(await run.RunAsync([.. arguments, "--format", "json"]) == 0, run.Messages);
        JsonElement reasons = JsonDocument.Parse(run.Results).RootElement;
        string[] spoken = [.. new[] { "said", "notSaid" }.SelectMany(name => reasons.GetProperty(name).EnumerateArray()).Select(line => line.GetProperty("action").GetString()!)];
        (string Action, string Why)[] silent = [.. reasons.GetProperty("notDue").EnumerateArray().Select(work => (work.GetProperty("action").GetString()!, work.GetProperty("why").GetString()!))];
        string[] kinds = ["look", "water", "vent", "cover-off", "film-off", "slit-tie", "take-check", "rub-off", "nurse-off", "head-back", "choose-shoot", "stake", "tie-in", "pinch", "fruit-off", "pests", "weed", "feed", "slope-stub", "whitewash", "ripen", "guard", "train", "union-check", "stake-off", "air-layer", "release", "regraft"];
        Assert.All(kinds, kind => Assert.True(spoken.Contains(kind) || silent.Any(work => work.Action == kind), kind));
        Assert.True(silent.Select(work => work.Why).Distinct().Count() > 8, string.Join("; ", silent));
        Assert.All(
            silent.Where(work => work.Why.StartsWith("not due before ", StringComparison.Ordinal)),
            work => Assert.True(string.CompareOrdinal(work.Why.Substring("not due before ".Length, 10), "2026-05-12") > 0, work.ToString()));
        Assert.Contains(("regraft", "it is not recorded as dead"), silent);
    }

    [Fact]
    public async Task A_round_is_asked_why_and_names_every_hazard_with_its_level_and_line()
    {
        Assert.Equal(0, await run.RunAsync("explain", "--round", "2026-05-12", "--graft", "D1-01", "--grafts", Register, "--weather", Weather, "--zone", "Europe/Berlin"));
        foreach (string hazard in new[] { "heat", "sun", "drying", "sap", "wind", "frost", "wet", "cold-stall" })
        {
            Assert.Contains($"- {hazard}: ", run.Results, StringComparison.Ordinal);
        }

        Assert.Matches(@"drying\.unsealed\.act in thresholds\.toml \(shipped\):\d+", run.Results);
        Assert.Contains("\nSAID\n", run.Results, StringComparison.Ordinal);
        Assert.Contains("\nNOT SAID\n", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_worst_value_of_a_hazard_that_is_reached_lies_beyond_the_level_it_reached()
    {
        int reached = 0;
        foreach (string day in new[] { "2026-05-08", "2026-05-12" })
        {
            foreach (string label in File.ReadAllLines(Register).Skip(1).Select(row => row.Split(',')[0]))
            {
                string[] arguments = ["explain", "--round", day, "--graft", label, "--grafts", Register, "--weather", Weather, "--zone", "Europe/Berlin"];
                Assert.True(await run.RunAsync([.. arguments, "--format", "json"]) == 0, run.Messages);
                foreach (JsonElement hazard in JsonDocument.Parse(run.Results).RootElement.GetProperty("hazards").EnumerateArray().Where(hazard => hazard.GetProperty("verdict").GetString() == "reached"))
                {
                    reached++;
                    double worst = hazard.GetProperty("worst").GetDouble();
                    double note = hazard.GetProperty("note").GetDouble();
                    bool falling = hazard.GetProperty("act") is { ValueKind: JsonValueKind.Number } act && act.GetDouble() < note;
                    Assert.True(falling ? worst <= note : worst >= note, $"{label} on {day}: {hazard}");
                }

                await run.RunAsync(arguments);
                Assert.DoesNotContain("on 1 days", run.Results, StringComparison.Ordinal);
                Assert.DoesNotMatch("never [^ ]*°C", run.Results);
            }
        }

        Assert.True(reached > 20, $"only {reached} hazards are reached");
    }

    // The letter's number and the hours' are two ways to the same value: the least safety of the days a letter decides on.
    [Fact]
    public async Task Shoot_safety_of_the_hours_is_the_number_the_round_judges_by()
    {
        string[] graft = ["explain", "--graft", "D1-01", "--grafts", Register, "--weather", Weather, "--zone", "Europe/Berlin"];
        int compared = 0;
        foreach (string label in File.ReadAllLines(Register).Skip(1).Select(row => row.Split(',')[0]))
        {
            graft[2] = label;
            await run.RunAsync([.. graft, "--round", "2026-05-12", "--format", "json"]);
            JsonElement wind = JsonDocument.Parse(run.Results).RootElement.GetProperty("hazards").EnumerateArray().Single(hazard => hazard.GetProperty("hazard").GetString() == "wind");
            if (wind.GetProperty("verdict").GetString() == "cannot-meet" || wind.GetProperty("unit").GetString() != "-")
            {
                continue;
            }

            await run.RunAsync([.. graft, "--date", "2026-05-12", "--format", "csv"]);
            int at = Array.IndexOf(Column("time"), wind.GetProperty("at").GetString());
            Assert.Equal(wind.GetProperty("worst").GetDouble(), Number(Column("shoot_safety")[at]), 0.01);
            compared++;
        }

        Assert.True(compared > 0, "no graft of the demonstration has a shoot the wind can take");
    }

    [Theory]
    [InlineData("no graft labelled", "--graft", "A1-99", "--grafts", "REGISTER")]
    [InlineData("either --graft ID", "--weather", "WEATHER")]
    [InlineData("aspect", "--species", "apple", "--technique", "cleft", "--made", "2026-04-01", "--aspect", "999")]
    [InlineData("technique", "--species", "apple", "--technique", "glueing", "--made", "2026-04-01", "--aspect", "S")]
    [InlineData("--lat", "--lat", "95", "--lon", "9", "--species", "apple", "--technique", "cleft", "--made", "2026-04-01", "--aspect", "S")]
    [InlineData("no hour between", "--graft", "A1-01", "--grafts", "REGISTER", "--from", "2027-01-01")]
    public async Task What_cannot_be_explained_is_refused_with_a_sentence(string hint, params string[] arguments)
    {
        string[] real = [.. arguments.Select(argument => argument switch { "REGISTER" => Register, "WEATHER" => Weather, _ => argument })];
        Assert.Equal(2, await run.RunAsync(["explain", "--date", "2026-05-12", .. real, .. real.Contains("--weather") ? Array.Empty<string>() : ["--weather", Weather]]));
        Assert.Contains(hint, run.Messages, StringComparison.Ordinal);
        Assert.Empty(run.Results);
    }

    [Fact]
    public async Task All_faults_of_a_described_graft_are_listed_at_once_by_the_names_of_the_options()
    {
        Assert.Equal(2, await run.RunAsync(
            "explain", "--weather", Weather, "--lat", "95", "--lon", "200", "--species", "aple", "--made", "2026-04-02", "--height", "99", "--diameter", "9000", "--cover", "quilt", "--aspect", "999"));
        foreach (string option in new[] { "--lat: 95", "--lon: 200", "--species: 'aple'", "--technique: It is missing", "--height: 99", "--diameter: 9000", "--cover: 'quilt'", "--aspect: 999" })
        {
            Assert.Contains(option, run.Messages, StringComparison.Ordinal);
        }

        Assert.DoesNotContain("command line", run.Messages, StringComparison.Ordinal);
        Assert.Contains("8 faults", run.Messages, StringComparison.Ordinal);
    }

    // The demonstration's weather is of 48.02 N, 9.06 E, 465 m.
    [Theory]
    [InlineData(2, "--lat", "-33.9", "--lon", "9.06", "--elevation", "465")]
    [InlineData(2, "--lat", "48.02", "--lon", "9.9", "--elevation", "465")]
    [InlineData(2, "--lat", "48.02", "--lon", "9.06", "--elevation", "800")]
    [InlineData(2, "--elevation", "465")]
    [InlineData(2, "--lat", "48.02")]
    [InlineData(0, "--lat", "48.3", "--lon", "9.3", "--elevation", "600")]
    [InlineData(0, "--lat", "48.02", "--lon", "9.06")]
    [InlineData(0)]
    public async Task Weather_of_elsewhere_is_refused_for_a_described_place(int code, params string[] place)
    {
        Assert.Equal(code, await run.RunAsync(["explain", "--weather", Weather, "--species", "apple", "--technique", "cleft", "--made", "2026-04-02", .. place]));
        if (code == 2)
        {
            Assert.Contains("out to take", run.Messages, StringComparison.Ordinal);
            Assert.Contains("1 fault;", run.Messages, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_described_place_without_a_height_takes_that_of_the_weather_and_says_so()
    {
        Assert.Equal(0, await run.RunAsync("explain", "--weather", Weather, "--species", "apple", "--technique", "cleft", "--made", "2026-04-02", "--lat", "48.02", "--lon", "9.06"));
        Assert.Contains("elevation: 465 m of weather.json", run.Results.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_described_graft_of_the_southern_half_faces_north_west_when_nobody_says()
    {
        run.Write("south.json", File.ReadAllText(Weather).Replace("\"latitude\":48.02", "\"latitude\":-33.9", StringComparison.Ordinal));
        string[] graft = ["explain", "--species", "apple", "--technique", "cleft", "--made", "2026-04-02"];
        Assert.Equal(0, await run.RunAsync([.. graft, "--weather", "south.json"]));
        Assert.Contains("aspect: north-west", run.Results, StringComparison.Ordinal);
        Assert.Equal(0, await run.RunAsync([.. graft, "--weather", Weather]));
        Assert.Contains("aspect: south-west", run.Results, StringComparison.Ordinal);
    }

    private async Task DescribeAsync(params string[] more)
    {
        string[] arguments =
        [
            "explain", "--lat", "48.02", "--lon", "9.06", "--elevation", "465", "--zone", "Europe/Berlin", "--species", "apple", "--technique", "whip-and-tongue",
            "--made", "2026-04-02", "--aspect", "200", "--tilt", "0", "--height", "0.25", "--diameter", "12", "--weather", Weather, .. more,
        ];
        Assert.True(await run.RunAsync(arguments) == 0, run.Messages);
    }

    private string[] Column(string name)
    {
        string[] lines = run.Results.TrimEnd('\n').Split('\n');
        int at = Array.IndexOf(lines[0].Split(','), name);
        return [.. lines.Skip(1).Select(line => line.Split(',')[at])];
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);
}

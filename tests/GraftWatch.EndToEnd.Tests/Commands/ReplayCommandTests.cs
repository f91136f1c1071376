using System.Text.Json;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Commands;

public sealed partial class ReplayCommandTests : IDisposable
{
    private static readonly string Weather = Repository.PathOf("src", "GraftWatch", "Demo", "weather.json");
    private static readonly string Register = Repository.PathOf("src", "GraftWatch", "Demo", "register.csv");
    private readonly CommandRun run = new();

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task A_season_shows_a_strip_counts_by_week_hours_felt_and_labour()
    {
        await ReplayAsync();
        foreach (string part in new[] { "One letter a day", "\nheat        ", "Lines act or urgent, by week", "first and last day", "What the unions felt", "Work advised: " })
        {
            Assert.Contains(part, run.Results, StringComparison.Ordinal);
        }

        // 13 days from 8 to 20 May: one mark a day.
        Assert.Matches("\nfrost       [.nAU]{13}\n", run.Results);
        Assert.Contains("the ones that came", run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Work_that_is_done_leaves_the_unions_cooler_than_work_that_is_not()
    {
        await ReplayAsync("--json");
        double done = Felt("heat", "note");
        await ReplayAsync("--json", "--idle");
        Assert.True(done < Felt("heat", "note"), "shading as advised saves hours of heat");
    }

    [Fact]
    public async Task A_grower_raises_a_level_and_sees_what_it_saves_and_costs()
    {
        string text = File.ReadAllText(Repository.PathOf("config", "thresholds.toml"));
        string raised = HeatLevels().Replace(text, match => $"{match.Groups[1].Value}{int.Parse(match.Groups[2].Value) + 4} °C");
        Assert.NotEqual(text, raised);
        run.Write("raised.toml", raised);
        await ReplayAsync("--against", "raised.toml");
        Assert.Contains("B: raised.toml", run.Results, StringComparison.Ordinal);
        Assert.Matches(@"lines act or urgent +\d+ +\d+ +-\d+", run.Results);
        Assert.Matches(@"\d{4}-\d\d-\d\d  heat +\w+ -> \w+", run.Results);

        await ReplayAsync("--against", Repository.PathOf("config", "thresholds.toml"));
        Assert.Contains("Every letter is the same.", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Csv_has_one_line_for_each_line_of_each_letter()
    {
        await ReplayAsync("--csv");
        string[] lines = run.Results.TrimEnd('\n').Split('\n');
        Assert.Equal("season,date,row,level,hazard,action,unions,minutes,grafts,felt,unit", lines[0]);
        string[] advice = [.. lines.Where(line => line.Contains(",advice,", StringComparison.Ordinal))];
        string[] felt = [.. lines.Skip(1).Where(line => line.Contains(",felt,", StringComparison.Ordinal))];
        Assert.NotEmpty(advice);
        Assert.NotEmpty(felt);
        Assert.Equal(lines.Length - 1, advice.Length + felt.Length);
        Assert.All(advice, line => Assert.Matches(@"^A,2026-05-\d\d,advice,(note|act|urgent),[a-z-]*,[a-z-]+,\d+,[\d.]+,[^,]+,,$", line));
        Assert.All(felt, line => Assert.Matches(@"^A,2026-05-\d\d,felt,(note|act|urgent),[a-z-]+,,,,,\d+,union-(hours|days)$", line));
    }

    [Fact]
    public async Task The_picture_stands_two_seasons_one_above_the_other()
    {
        await ReplayAsync("--against", Repository.PathOf("config", "thresholds.toml"), "--picture", "season.svg");
        XDocument picture = XDocument.Load(Path.Combine(run.Folder, "season.svg"));
        Assert.True(picture.Descendants().Count(element => element.Name.LocalName == "rect") > 2 * 13 * 9);
    }

    [Fact]
    public async Task The_page_needs_neither_colour_nor_a_program_nor_a_network()
    {
        await ReplayAsync("--picture", "season.html");
        string page = File.ReadAllText(Path.Combine(run.Folder, "season.html"));
        Assert.DoesNotContain("<script", page, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotMatch("(src|href)=", page);
        Assert.Contains("prefers-color-scheme:dark", page, StringComparison.Ordinal);

        // The drawing is well-formed by itself; each of 13 days and 9 rows has a letter and a title.
        int from = page.IndexOf("<svg", StringComparison.Ordinal);
        XElement drawing = XElement.Parse(page[from..(page.IndexOf("</svg>", StringComparison.Ordinal) + "</svg>".Length)]);
        XElement[] cells = [.. drawing.Descendants().Where(element => element.Name.LocalName == "g" && element.Elements().Any(child => child.Name.LocalName == "title"))];
        Assert.Equal(13 * 9, cells.Length);
        Assert.All(cells, cell => Assert.Matches("^[.nAU]$", cell.Elements().Single(child => child.Name.LocalName == "text").Value));
        Assert.Contains(cells, cell => cell.Value.EndsWith("urgentU", StringComparison.Ordinal));
        Assert.Contains("<th scope=\"row\">frost</th>", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_archive_that_cannot_be_reached_is_named_with_a_way_out()
    {
        string settings = File.ReadAllText(Repository.PathOf("config", "graftwatch.toml"));
        string offline = AddressLine().Replace(settings, "address = \"http://127.0.0.1:9\"", 1);
        Assert.NotEqual(settings, offline);
        Directory.CreateDirectory(Path.Combine(run.Folder, "config"));
        run.Write(Path.Combine("config", "graftwatch.toml"), offline);
        run.Write("own.csv", "label,species,technique,made,count,aspect,height_m,diameter_mm,cover,tie,seal\nA1,apple,splice,2026-04-02,1,S,0.3,12,none,budding-strip,wax\n");
        Assert.Equal(2, await run.RunAsync(["replay", "--from", "2026-05-08", "--to", "2026-05-20", "--weather", "archive", "--grafts", "own.csv"]));
        Assert.Matches("no hours for .+, because 127.0.0.1 .+ give it with --weather FILE", run.Messages);
    }

    [Fact]
    public async Task A_picture_of_another_kind_is_refused()
    {
        Assert.Equal(2, await run.RunAsync(["replay", "--from", "2026-05-08", "--to", "2026-05-20", "--weather", Weather, "--grafts", Register, "--picture", "season.png"]));
        Assert.Contains("neither .svg nor .html", run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_archive_is_asked_for_the_places_of_the_settings_only()
    {
        Assert.Equal(2, await run.RunAsync(["replay", "--from", "2026-05-08", "--to", "2026-05-20", "--weather", "archive", "--grafts", Register]));
        Assert.Contains("for the places of graftwatch.toml", run.Messages, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("before the weather", "--from", "2026-01-01", "--to", "2026-05-12")]
    [InlineData("lies after", "--from", "2026-05-12", "--to", "2026-05-01")]
    [InlineData("2026-09-01", "--from", "2026-05-12", "--to", "2026-09-01")]
    public async Task A_span_that_the_weather_does_not_cover_is_refused(string hint, params string[] span)
    {
        Assert.Equal(2, await run.RunAsync(["replay", .. span, "--weather", Weather, "--grafts", Register, "--zone", "Europe/Berlin"]));
        Assert.Contains(hint, run.Messages, StringComparison.Ordinal);
    }

    private async Task ReplayAsync(params string[] more)
    {
        string[] arguments = ["replay", "--from", "2026-05-08", "--to", "2026-05-20", "--weather", Weather, "--grafts", Register, "--zone", "Europe/Berlin", .. more];
        Assert.True(await run.RunAsync(arguments) == 0, run.Messages);
    }

    private double Felt(string hazard, string level) => JsonDocument.Parse(run.Results).RootElement[0].GetProperty("days").EnumerateArray()
        .SelectMany(day => day.GetProperty("felt").GetProperty("hazards").EnumerateArray())
        .Where(exposure => exposure.GetProperty("hazard").GetString() == hazard)
        .Sum(exposure => exposure.GetProperty(level).GetDouble());

    [GeneratedRegex("(?<=\\[heat\\.cambium\\][\\s\\S]{0,2000}?)((?:note|act|urgent) = \")(\\d+) °C")]
    private static partial Regex HeatLevels();

    [GeneratedRegex("(?m)(?<=^\\[weather\\][\\s\\S]{0,600}?^)(# *)?address = \"[^\"]*\"")]
    private static partial Regex AddressLine();
}

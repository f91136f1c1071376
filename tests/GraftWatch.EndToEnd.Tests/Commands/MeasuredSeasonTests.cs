using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Commands;

/// <summary>Hours that stations measured (origin in the data's own README), replayed with an invented register of 40 grafts and two thresholds files.</summary>
public sealed partial class MeasuredSeasonTests : IDisposable
{
    private readonly CommandRun run = new();

    public void Dispose() => run.Dispose();

    [Theory]
    [InlineData("weather/orchard-massachusetts-2015-spring.json", "2015-04-12", "2015-06-30", "frost")]
    [InlineData("weather/orchard-massachusetts-2015-april-frost.json", "2015-04-21", "2015-04-28", "")]
    [InlineData("weather/basin-nevada-2015-spring.json", "2015-04-10", "2015-06-15", "frost")]
    [InlineData("weather/basin-nevada-2015-april-freeze.json", "2015-04-12", "2015-04-19", "frost")]
    [InlineData("weather/desert-california-2015-summer.json", "2015-05-10", "2015-08-01", "heat")]
    [InlineData("weather/desert-california-2015-heat.json", "2015-06-18", "2015-06-25", "heat")]
    public async Task A_measured_season_is_replayed_whole_and_a_second_file_is_held_against_it(string file, string from, string to, string hazard)
    {
        JsonElement[] seasons = await ReplayAsync(SharedData.PathOrSkip(file), from, to);
        int days = DateOnly.Parse(to, CultureInfo.InvariantCulture).DayNumber - DateOnly.Parse(from, CultureInfo.InvariantCulture).DayNumber + 1;
        Assert.All(seasons, season => Assert.Equal(days, season.GetProperty("days").GetArrayLength()));
        if (hazard.Length > 0)
        {
            Assert.True(DaysOf(seasons[0], hazard) > 0, $"{hazard} is said on a day of {file}");
            Assert.True(Felt(seasons[0], hazard, "note") > 0, $"{hazard} is felt in {file}");
        }

        // Air frosts of half a degree in April 2015 harm no dormant scion: that file need only run.
        Assert.All(seasons, season => Assert.All((string[])["heat", "frost", "wind", "drying"], each =>
            Assert.True(Felt(season, each, "note") >= Felt(season, each, "act") && Felt(season, each, "act") >= Felt(season, each, "urgent"), each)));
        Assert.NotEmpty(seasons[1].GetProperty("exposureDifference").EnumerateArray());
    }

    [Theory]
    [InlineData("weather/desert-california-2015-heat.json", "2015-06-18", "2015-06-25")]
    [InlineData("weather/desert-california-2015-summer.json", "2015-06-01", "2015-06-20")]
    public async Task Where_no_work_is_done_higher_heat_levels_say_less_and_change_nothing_that_is_felt(string file, string from, string to)
    {
        JsonElement[] seasons = await ReplayAsync(SharedData.PathOrSkip(file), from, to, "--idle");
        Assert.True(DaysOf(seasons[1], "heat", pressing: true) <= DaysOf(seasons[0], "heat", pressing: true));
        Assert.NotEmpty(seasons[1].GetProperty("changes").EnumerateArray());
        foreach (string level in (string[])["note", "act", "urgent"])
        {
            Assert.True(Felt(seasons[0], "heat", level) > 0, level);
            Assert.Equal(Felt(seasons[0], "heat", level), Felt(seasons[1], "heat", level));
        }
    }

    private async Task<JsonElement[]> ReplayAsync(string weather, string from, string to, params string[] more)
    {
        run.Write("register.csv", Register(made: from));
        string thresholds = File.ReadAllText(Repository.PathOf("config", "thresholds.toml"));
        run.Write("lax.toml", HeatLevels().Replace(thresholds, match => $"{match.Groups[1].Value}{int.Parse(match.Groups[2].Value, CultureInfo.InvariantCulture) + 3} °C"));
        string[] arguments = ["replay", "--from", from, "--to", to, "--weather", weather, "--grafts", "register.csv", "--against", "lax.toml", "--json", .. more];
        Assert.True(await run.RunAsync(arguments) == 0, run.Messages);
        return [.. JsonDocument.Parse(run.Results).RootElement.EnumerateArray()];
    }

    private static int DaysOf(JsonElement season, string hazard, bool pressing = false) => season.GetProperty("days").EnumerateArray()
        .Count(day => day.GetProperty("advice").EnumerateArray().Any(advice =>
            advice.GetProperty("hazard").GetString() == hazard && (!pressing || advice.GetProperty("level").GetString() != "note")));

    private static double Felt(JsonElement season, string hazard, string level) => season.GetProperty("days").EnumerateArray()
        .SelectMany(day => day.GetProperty("felt").GetProperty("hazards").EnumerateArray())
        .Where(exposure => exposure.GetProperty("hazard").GetString() == hazard)
        .Sum(exposure => exposure.GetProperty(level).GetDouble());

    private static string Register(string made)
    {
        string[] species = ["apple", "pear", "plum", "grape", "walnut"];
        string[] techniques = ["whip-and-tongue", "splice", "cleft"];
        string[] covers = ["none", "foil"];
        string[] aspects = ["N", "E", "S", "W", "SW"];
        var text = new StringBuilder("label,species,technique,made,count,aspect,height_m,diameter_mm,cover,tie,seal\n");
        for (int i = 0; i < 40; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"G{i:00},{species[i % 5]},{techniques[i / 5 % 3]},{made},{1 + (i % 3)},{aspects[i % 5]},{0.3 + (0.1 * (i % 4))},{10 + (i % 4 * 4)},{covers[i / 20]},budding-strip,wax\n");
        }

        return text.ToString();
    }

    [GeneratedRegex("(?<=\\[heat\\.cambium\\][\\s\\S]{0,2000}?)((?:note|act|urgent) = \")(\\d+) °C")]
    private static partial Regex HeatLevels();
}

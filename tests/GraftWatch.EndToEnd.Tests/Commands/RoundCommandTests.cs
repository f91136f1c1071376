using System.Text.Json;
using System.Text.Json.Nodes;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Testing;
using Json.Schema;

namespace GraftWatch.EndToEnd.Tests.Commands;

public sealed class RoundCommandTests : IDisposable
{
    private const string Register =
        """
        label,place,block,row,species,scion,technique,made,count,aspect,height_m,diameter_mm,cover,tie,seal,shoot_cm,bbch
        A-1,home,A,1,apple,Ember,whip-and-tongue,MADE,20,SW,0.25,11,none,budding-strip,wax,6,11
        A-2,home,A,2,plum,Blue Tansy,cleft,MADE,3,SE,1.1,35,none,rubber,wax,,7
        B-1,home,B,1,grape,White Finch,cleft,MADE,10,S,0.3,30,none,raffia,none,,3
        B-2,home,B,2,walnut,Hollow Hill,bark,MADE,3,W,1.4,60,paper,twine,wax,,3
        C-1,home,C,1,apple,Red Lantern,chip-bud,2014-08-18,40,N,0.2,13,none,none,none,30,31
        """;

    private static readonly Lazy<JsonSchema> Schema = new(() => JsonSchema.FromFile(Repository.PathOf("docs", "round.schema.json")));
    private readonly CommandRun run = new();

    public void Dispose() => run.Dispose();

    public static TheoryData<string, string> MeasuredFiles() => new()
    {
        { "weather/orchard-massachusetts-2015-spring.json", "2015-05-08" },
        { "weather/orchard-massachusetts-2015-april-frost.json", "2015-04-22" },
        { "weather/basin-nevada-2015-spring.json", "2015-04-30" },
        { "weather/basin-nevada-2015-april-freeze.json", "2015-04-13" },
        { "weather/desert-california-2015-summer.json", "2015-06-15" },
        { "weather/desert-california-2015-heat.json", "2015-06-18" },
    };

    [Theory]
    [MemberData(nameof(MeasuredFiles))]
    public async Task Measured_weather_gives_a_round_that_keeps_the_schema_and_checks_every_graft(string file, string date)
    {
        string weather = SharedData.PathOrSkip(file);
        run.Write("grafts.csv", Register.Replace("MADE", date[..8] + "01", StringComparison.Ordinal));
        Assert.Equal(0, await run.RunAsync("round", "--weather", weather, "--grafts", "grafts.csv", "--date", date, "--json"));

        JsonElement round = Valid(run.Results);
        Assert.Equal(date, round.GetProperty("date").GetString());
        Assert.Equal(5, round.GetProperty("stages").GetArrayLength());
        Assert.DoesNotContain(round.GetProperty("notChecked").EnumerateArray(), gap => gap.GetProperty("why").GetString()!.Contains("program failed", StringComparison.Ordinal));
        JsonElement forecast = round.GetProperty("places")[0].GetProperty("forecast");
        Assert.StartsWith("saved reply", forecast.GetProperty("source").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [MemberData(nameof(MeasuredFiles))]
    public async Task Without_a_date_the_first_whole_day_of_a_measured_file_is_taken_and_said(string file, string date)
    {
        string weather = SharedData.PathOrSkip(file);
        run.Write("grafts.csv", Register.Replace("MADE", "2015-03-01", StringComparison.Ordinal));
        Assert.Equal(0, await run.RunAsync("round", "--weather", weather, "--grafts", "grafts.csv"));
        Assert.Contains("first whole day", run.Messages, StringComparison.Ordinal);
        Assert.NotEqual(date, run.Results);
        Assert.Contains("zone: UTC-0", run.Results.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Hours_later_than_ten_days_after_the_day_are_cut_off()
    {
        string weather = SharedData.PathOrSkip("weather/orchard-massachusetts-2015-spring.json");
        run.Write("grafts.csv", Register.Replace("MADE", "2015-04-10", StringComparison.Ordinal));
        await run.RunAsync("round", "--weather", weather, "--grafts", "grafts.csv", "--date", "2015-05-08", "--zone", "America/New_York", "--json");
        JsonElement forecast = Valid(run.Results).GetProperty("places")[0].GetProperty("forecast");
        Assert.Equal("2015-05-19T04:00:00Z", forecast.GetProperty("to").GetString());
    }

    [Fact]
    public async Task The_schema_refuses_a_round_with_an_unknown_level_or_a_missing_field()
    {
        await RunDemoAsync("--json");
        JsonObject round = JsonNode.Parse(run.Results)!.AsObject();
        Assert.True(Schema.Value.Evaluate(round).IsValid);

        round["advice"]![0]!["level"] = "panic";
        Assert.False(Schema.Value.Evaluate(round).IsValid);

        round["advice"]![0]!["level"] = "act";
        round.Remove("notChecked");
        Assert.False(Schema.Value.Evaluate(round).IsValid);
    }

    [Fact]
    public async Task A_planned_grafting_is_answered_in_text_and_in_json()
    {
        await RunDemoAsync("--planned", "apple bark, walnut patch-bud", "--planned", "hazel side veneer");
        string text = string.Join(' ', run.Results.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries));
        Assert.Contains("PLANNED GRAFTING - Apple, bark graft: good days are ", text, StringComparison.Ordinal);
        Assert.Contains("- Walnut, patch bud: no good day among those that can be judged.", text, StringComparison.Ordinal);

        await RunDemoAsync("--planned", "apple bark, walnut patch-bud", "--planned", "hazel side veneer", "--json");
        JsonElement planned = Valid(run.Results).GetProperty("planned");
        Assert.Equal(["apple bark", "walnut patch-bud", "hazel side-veneer"], planned.EnumerateArray().Select(plan => $"{plan.GetProperty("species")} {plan.GetProperty("technique")}"));
        Assert.Contains(planned[0].GetProperty("days").EnumerateArray(), day => day.GetProperty("good").GetBoolean());
        Assert.Contains(planned[1].GetProperty("days").EnumerateArray(), day => day.GetProperty("against").EnumerateArray().Any(words => words.GetString() == "too cool to knit"));

        await RunDemoAsync("--json");
        Assert.Equal(0, Valid(run.Results).GetProperty("planned").GetArrayLength());
    }

    [Fact]
    public async Task Planned_graftings_of_the_settings_are_answered_unless_others_are_asked_for()
    {
        run.Write(
            "graftwatch.toml",
            """
            [[place]]
            name = "Sorrel Bank"
            latitude = 50.1
            longitude = 8.6
            elevation = "180 m"
            zone = "Europe/Berlin"
            [[grower]]
            name = "Mara"
            address = "mara@grower.example"
            planned = ["apple bark"]
            """);
        await RunDemoAsync("--config", run.Folder);
        Assert.Contains("- Apple, bark graft:", run.Results, StringComparison.Ordinal);

        await RunDemoAsync("--config", run.Folder, "--planned", "walnut patch-bud");
        Assert.Contains("- Walnut, patch bud:", run.Results, StringComparison.Ordinal);
        Assert.DoesNotContain("- Apple, bark graft:", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_planned_grafting_that_means_nothing_is_refused_with_the_nearest_known()
    {
        string demo = Repository.PathOf("src", "GraftWatch", "Demo");
        int code = await run.RunAsync("round", "--weather", Path.Combine(demo, "weather.json"), "--grafts", Path.Combine(demo, "register.csv"), "--date", "2026-05-12", "--planned", "aple cleft");
        Assert.NotEqual(0, code);
        Assert.Contains("--planned: 'aple' is not a species known here. Nearest known: apple.", run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task American_units_reach_every_sentence()
    {
        await RunDemoAsync("--units", "us");
        Assert.Contains("°F", run.Results, StringComparison.Ordinal);
        Assert.DoesNotContain("°C", run.Results, StringComparison.Ordinal);
    }

    // docs/register.md: south-west, north-west south of the equator.
    [Theory]
    [InlineData("48.02", "south-west")]
    [InlineData("-33.9", "north-west")]
    public async Task An_unsaid_aspect_is_the_warm_side_of_the_hemisphere_the_weather_is_of(string latitude, string side)
    {
        string demo = Repository.PathOf("src", "GraftWatch", "Demo", "weather.json");
        run.Write("weather.json", File.ReadAllText(demo).Replace("\"latitude\":48.02", $"\"latitude\":{latitude}", StringComparison.Ordinal));
        run.Write("grafts.csv", "label,place,species,technique,made\nA-1,Home,apple,cleft,2026-04-02\nA-2,,apple,cleft,2026-04-02\n");
        Assert.True(await run.RunAsync("explain", "--graft", "A-1", "--weather", "weather.json", "--grafts", "grafts.csv", "--date", "2026-05-12") == 0, run.Messages);
        Assert.Contains("aspect: " + side, run.Results, StringComparison.Ordinal);
        Assert.True(await run.RunAsync("explain", "--graft", "A-2", "--weather", "weather.json", "--grafts", "grafts.csv", "--date", "2026-05-12") == 0, run.Messages);
        Assert.Contains("aspect: " + side, run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public void The_schema_knows_every_action_hazard_stage_and_level_of_the_program()
    {
        JsonNode definitions = JsonNode.Parse(File.ReadAllText(Repository.PathOf("docs", "round.schema.json")))!["$defs"]!;
        Assert.Equal(Keys<WorkAction>(), Enumerated(definitions["action"]!));
        Assert.Equal(Keys<Hazard>(), Enumerated(definitions["hazard"]!));
        Assert.Equal(TradeNames.Techniques, Enumerated(definitions["planned"]!["properties"]!["technique"]!));
        Assert.Equal(Keys<Stage>(), Enumerated(definitions["stageName"]!));
        Assert.Equal(Keys<Level>().Skip(1), Enumerated(definitions["level"]!));

        static IEnumerable<string> Keys<TEnum>()
            where TEnum : struct, Enum => Enum.GetNames<TEnum>().Select(JsonNamingPolicy.KebabCaseLower.ConvertName);

        static IEnumerable<string> Enumerated(JsonNode definition) => definition["enum"]!.AsArray().Select(value => value!.GetValue<string>());
    }

    private async Task RunDemoAsync(params string[] more)
    {
        string demo = Repository.PathOf("src", "GraftWatch", "Demo");
        string[] arguments = ["round", "--weather", Path.Combine(demo, "weather.json"), "--grafts", Path.Combine(demo, "register.csv"), "--date", "2026-05-12", "--zone", "Europe/Berlin", .. more];
        Assert.True(await run.RunAsync(arguments) == 0, run.Messages);
    }

    private static JsonElement Valid(string json)
    {
        JsonNode? round = JsonNode.Parse(json);
        EvaluationResults results = Schema.Value.Evaluate(round, new EvaluationOptions { OutputFormat = OutputFormat.List });
        Assert.True(results.IsValid, string.Join('\n', results.Details.Where(detail => detail.HasErrors).Select(detail => $"{detail.InstanceLocation}: {string.Join("; ", detail.Errors!.Values)}")));
        return JsonDocument.Parse(json).RootElement;
    }
}

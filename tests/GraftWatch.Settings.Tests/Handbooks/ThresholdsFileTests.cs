using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Handbooks;
using GraftWatch.Testing;

namespace GraftWatch.Settings.Tests.Handbooks;

public sealed class ThresholdsFileTests
{
    private static readonly Subject Apple = new("apple", Technique.WhipAndTongue, Stage.Callus, "none", "none", "Home");

    [Fact]
    public void The_shipped_files_are_right_and_define_every_setting()
    {
        Loaded<Handbook> loaded = SettingsLoader.LoadHandbook(folder: null);

        Assert.True(loaded.IsValid, loaded.ToString());
        Assert.Empty(loaded.Warnings);
        Assert.All(SettingDefinitions.All, d => Assert.True(loaded.Value.Thresholds.All.ContainsKey(d.Key), d.Key));
        Assert.All(loaded.Origins, o => Assert.True(o.IsShipped));
        Assert.Equal(32, loaded.Value.Thresholds.Number("heat.cambium.note", Apple));
    }

    [Fact]
    public void A_file_that_sets_one_key_keeps_the_shipped_value_of_every_other()
    {
        Loaded<Handbook> loaded = Files.Thresholds("# mine\n[heat.cambium]\nact = \"37.5 °C\"\n");

        Assert.True(loaded.IsValid, loaded.ToString());
        SettingInForce act = loaded.Value.Thresholds.Find("heat.cambium.act", Apple);
        Assert.Equal((37.5, "thresholds.toml", 3), (act.Value, act.File, act.Line));
        SettingInForce note = loaded.Value.Thresholds.Find("heat.cambium.note", Apple);
        Assert.Equal((32.0, "thresholds.toml (shipped)"), (note.Value, note.File));
        Assert.Equal([true, true, false], loaded.Origins.Select(o => o.IsShipped));
    }

    [Fact]
    public void Shipped_exceptions_of_a_table_fall_when_the_file_sets_a_value_of_that_table()
    {
        Subject grape = Apple with { Species = "grape" };
        Assert.Equal(35, SettingsLoader.LoadHandbook(null).Value!.Thresholds.Number("heat.cambium.act", grape));

        Assert.Equal(37, Files.Right("heat.cambium.act = \"37 °C\"\nheat.cambium.note = \"33 °C\"").Number("heat.cambium.act", grape));
        Assert.Equal(35, Files.Right("frost.bud.note = \"4 K\"").Number("heat.cambium.act", grape));
    }

    [Fact]
    public void The_most_specific_exception_wins_and_of_equals_the_later()
    {
        ThresholdSet set = Files.Right("""
            [[wind.gust.where]]
            species = ["apple", "malus"]
            act = "16 m/s"
            source = "my own gauge"
            [[wind.gust.where]]
            species = ["apple"]
            place = ["Home"]
            act = "15 m/s"
            [[wind.gust.where]]
            species = "apple"
            act = "17 m/s"
            """);

        Assert.Equal(15, set.Number("wind.gust.act", Apple));
        Assert.Equal(17, set.Number("wind.gust.act", Apple with { Place = "Hill" }));
        SettingInForce first = set.All["wind.gust.act"].Single(s => s.Value == 16);
        Assert.Equal(("my own gauge", 3), (first.Source, first.Line));
        Assert.Equal(["apple", "apple"], first.Scope.Species);
    }

    [Fact]
    public void Exceptions_may_be_written_in_the_tables_above_and_at_the_top()
    {
        ThresholdSet set = Files.Right("""
            [[where]]
            place = ["Hill"]
            wind.gust.act = "14 m/s"
            [[heat.where]]
            technique = ["t bud"]
            stage = ["set", "callus"]
            cambium.act = "37 °C"
            hours.note = "4 hours"
            """);

        Assert.Equal(14, set.Number("wind.gust.act", Apple with { Place = "Hill" }));
        Assert.Equal(37, set.Number("heat.cambium.act", Apple with { Technique = Technique.TBud, Species = "plum" }));
        Assert.Equal(4, set.Number("heat.hours.note", Apple with { Technique = Technique.TBud }));
    }

    [Fact]
    public void All_faults_are_listed_at_once_with_line_and_column()
    {
        Loaded<Handbook> loaded = Files.Thresholds("""
            [heat.cambium]
            note = "38,5 °C"
            act = 36
            urgent = "40 X"
            [heat.cambum]
            note = "3 K"
            [advice]
            lead = 1 hour
            day_beginns = "6 h"
            act_within = "300 hours"
            [[wind.gust.where]]
            species = ["figg", "apple"]
            tecnique = ["bark"]
            note = "14 m/s"
            [[wind.gust.where]]
            act = "12 m/s"
            """);

        Assert.Null(loaded.Value);
        Assert.Equal(
            [(2, 8), (3, 7), (4, 10), (5, 7), (8, 10), (9, 1), (10, 14), (12, 12), (13, 1), (15, 13)],
            loaded.Faults.Select(f => (f.Line, f.Column)));
        Approved.Text("faults-of-thresholds", string.Join('\n', loaded.Faults) + "\n");
    }

    [Theory]
    [InlineData("heat.cambium.note = \"37 °C\"", "heat.cambium.note", "act (36 °C, the shipped value) is below note (37 °C, line 1).")]
    [InlineData("heat.cambium.note = \"30 °C\"\nheat.cambium.act = \"41 °C\"\nheat.cambium.urgent = \"40 °C\"", "heat.cambium.urgent", "urgent (40 °C, line 3) is below act (41 °C, line 2).")]
    [InlineData("frost.union.act = \"5 °C\"", "frost.union.act", "act (5 °C, line 1) is above note")]
    [InlineData("[[wind.gust.where]]\nspecies = [\"fig\"]\nact = \"5 m/s\"", "wind.gust.act", "for species fig.")]
    public void Levels_in_the_wrong_order_are_refused(string text, string key, string words)
    {
        SettingsFault fault = Files.OnlyFault(Files.Thresholds(text));

        Assert.Equal(key, fault.Key);
        Assert.Contains(words, fault.Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void Two_exceptions_that_are_right_alone_and_wrong_together_are_refused()
    {
        const string Levels = "[wind.gust]\nnote = \"10 m/s\"\nact = \"14 m/s\"\nurgent = \"18 m/s\"\n";
        const string Figs = "[[wind.gust.where]]\nspecies = [\"fig\"]\nnote = \"13 m/s\"\n";
        const string TBuds = "[[wind.gust.where]]\ntechnique = [\"t-bud\"]\nact = \"12 m/s\"\n";

        Assert.True(Files.Thresholds(Levels + Figs).IsValid);
        Assert.True(Files.Thresholds(Levels + TBuds).IsValid);
        SettingsFault fault = Files.OnlyFault(Files.Thresholds(Levels + Figs + TBuds));
        Assert.Equal(10, fault.Line);
        Assert.Contains("for species fig with technique t-bud", fault.Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void Equal_levels_are_in_order() =>
        Assert.True(Files.Thresholds("[wind.gust]\nnote = \"14 m/s\"\nact = \"14 m/s\"\nurgent = \"14 m/s\"").IsValid);

    [Fact]
    public void A_window_that_ends_before_it_begins_is_refused()
    {
        SettingsFault fault = Files.OnlyFault(Files.Thresholds("task.film.from = \"5 weeks\"\ntask.film.by = \"3 weeks\""));

        Assert.Equal("by (21 days, line 2) is below from (35 days, line 1).", fault.Problem);
    }

    [Theory]
    [InlineData("heat = 3", 1, 8, "heat", "The number 3 does not fit: heat is a table.")]
    [InlineData("heat.cambium.where = [1]", 1, 22, "heat.cambium.where", "Exceptions are written as a table with two brackets.")]
    [InlineData("[[heat.cambium.where]]\nspecies = []\nact = \"37 °C\"", 2, 11, "heat.cambium.where.species", "The list is empty.")]
    [InlineData("[[heat.cambium.where]]\nspecies = [\"fig\"]", 1, 16, "heat.cambium.where", "This exception changes nothing.")]
    [InlineData("[[heat.cambium.where]]\nstage = [\"sett\"]\nact = \"37 °C\"", 2, 10, "heat.cambium.where.stage", "'sett' is not a stage known here.")]
    [InlineData("heat.cambium.act = true", 1, 20, "heat.cambium.act", "True does not fit.")]
    [InlineData("heat.cambium.act = [\"37 °C\"]", 1, 20, "heat.cambium.act", "A list does not fit.")]
    [InlineData("heat.cambium.act = 2026-04-01", 1, 20, "heat.cambium.act", "A date or time without quotes does not fit.")]
    [InlineData("heat.cambium.source = 3", 1, 23, "heat.cambium.source", "A source is text in quotes.")]
    [InlineData("cambium.act = \"37 °C\"", 1, 1, "cambium", "No such key.")]
    public void What_does_not_fit_is_named_where_it_stands(string text, int line, int column, string key, string problem)
    {
        SettingsFault fault = Files.OnlyFault(Files.Thresholds(text));

        Files.At(fault, line, column, key);
        Assert.StartsWith(problem, fault.Problem, StringComparison.Ordinal);
        Assert.NotEmpty(fault.Expected);
    }

    [Fact]
    public void An_empty_file_keeps_every_shipped_value()
    {
        Handbook mine = Files.Thresholds(string.Empty).Value!, shipped = SettingsLoader.LoadHandbook(null).Value!;

        foreach ((string key, IReadOnlyList<SettingInForce> values) in shipped.Thresholds.All)
        {
            Assert.Equal(values.Select(Plain), mine.Thresholds.All[key].Select(Plain));
        }
    }

    private static (double, string, int, string, string) Plain(SettingInForce s) => (s.Value, s.File, s.Line, s.Source, ScopeWords.Of(s.Scope));

    [Fact]
    public void A_folder_takes_its_own_files_and_the_shipped_ones_for_the_rest()
    {
        string folder = Directory.CreateTempSubdirectory("graftwatch-").FullName;
        try
        {
            File.WriteAllText(Path.Combine(folder, "thresholds.toml"), "heat.cambium.act = \"37 °C\"");
            Loaded<Handbook> loaded = SettingsLoader.LoadHandbook(folder);

            Assert.Equal(37, loaded.Value!.Thresholds.Number("heat.cambium.act", Apple));
            Assert.Equal(["species.toml: shipped with the program", "materials.toml: shipped with the program"], loaded.Origins.Take(2).Select(o => o.ToString()));
            Assert.Equal(Path.Combine(folder, "thresholds.toml"), loaded.Origins[2].Path);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public void A_named_thresholds_file_that_is_not_there_is_a_fault()
    {
        SettingsFault fault = Files.OnlyFault(SettingsLoader.LoadHandbook(null, "no-such-file.toml"));

        Assert.Equal("no-such-file.toml: There is no such file.", fault.ToString());
    }
}

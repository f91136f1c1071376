using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Tests.Thresholds;

/// <summary>The shipped levels at the values sources name.</summary>
public sealed class ShippedLevelsTests
{
    private static Level Of(string prefix, double value, LevelDirection direction, string species = "apple", Stage stage = Stage.Callus, Technique technique = Technique.WhipAndTongue) =>
        Bench.Handbook.Thresholds.Levels(prefix, new Subject(species, technique, stage, "none", "none", "x")).Of(value, direction);

    [Theory]
    // [Shippy1930], from memory: apple callus held back at 32, dead at 40 °C.
    [InlineData("apple", Stage.Callus, 31.9, Level.None)]
    [InlineData("apple", Stage.Callus, 32, Level.Note)]
    [InlineData("apple", Stage.Callus, 40, Level.Urgent)]
    // [HartmannKester2011], from memory: grape callus soft and profuse from 29-30 °C.
    [InlineData("grape", Stage.Callus, 30, Level.Note)]
    // Tropical Agriculture 75(3), 1998: mango callus dies with long 38 °C.
    [InlineData("mango", Stage.Callus, 38, Level.Urgent)]
    // Mulberry budding took at 40 °C air: not the end of it.
    [InlineData("mulberry", Stage.Callus, 40, Level.Act)]
    // Plant tissue dies at about 46 °C (University of Delaware 2015).
    [InlineData("apple", Stage.Run, 46, Level.Urgent)]
    // Cambium of woody stems lives through 45 and dies at about 50-52 °C, from memory.
    [InlineData("apple", Stage.Ripen, 45, Level.Note)]
    [InlineData("apple", Stage.Ripen, 51, Level.Urgent)]
    public void Heat_levels_meet_their_sources(string species, Stage stage, double cambiumC, Level expected) =>
        Assert.Equal(expected, Of("heat.cambium", cambiumC, LevelDirection.Rising, species, stage));

    [Theory]
    // University of California: walnut shoots stand -1.1 °C for half an hour at the most.
    [InlineData("frost.shoot", -1.1, Level.Urgent)]
    [InlineData("frost.shoot", 0, Level.Act)]
    [InlineData("frost.shoot", 2.1, Level.None)]
    // Avocado: severe below -1.1 °C (California growers' site); flush of citrus -1 to -2.
    [InlineData("frost.evergreen", -1.1, Level.Urgent)]
    [InlineData("frost.evergreen", 0, Level.Act)]
    // Hardy dormant wood stands -3 without a word; common practice, no source.
    [InlineData("frost.dormant", -3, Level.None)]
    [InlineData("frost.tender", -4, Level.Act)]
    [InlineData("frost.autumn", -2, Level.Act)]
    public void Frost_levels_meet_their_sources(string prefix, double tissueC, Level expected) =>
        Assert.Equal(expected, Of(prefix, tissueC, LevelDirection.Falling));

    [Theory]
    // Healing chambers: leafy grafts fine at 0.16 kPa, dying within a day at 2.0 (25 °C; 95 and 37 % humidity).
    [InlineData("drying.leafy", 0.16, Level.None)]
    [InlineData("drying.leafy", 2.0, Level.Urgent)]
    // Common practice, no source: an unwaxed union asks for wax at 1.2.
    [InlineData("drying.unsealed", 1.2, Level.Act)]
    [InlineData("drying.shoot", 1.8, Level.None)]
    public void Drying_levels_meet_their_sources(string prefix, double deficitKPa, Level expected) =>
        Assert.Equal(expected, Of(prefix, deficitKPa, LevelDirection.Rising));

    [Theory]
    // Beaufort 7 and 8 begin at 13.9 and 17.2 m/s: whole trees sway, twigs break off.
    [InlineData(13.8, Level.None)]
    [InlineData(13.9, Level.Note)]
    [InlineData(17.2, Level.Act)]
    [InlineData(20.8, Level.Urgent)]
    public void Gust_levels_are_Beauforts(double gustMPerS, Level expected) => Assert.Equal(expected, Of("wind.gust", gustMPerS, LevelDirection.Rising));

    [Fact]
    public void Every_setting_has_a_value_and_every_table_a_source()
    {
        foreach (SettingDefinition definition in SettingDefinitions.All)
        {
            Assert.All(Bench.Handbook.Thresholds.All[definition.Key], setting => Assert.NotEqual(string.Empty, setting.Source));
        }
    }

    // Ties: citrus buds are unwrapped after 14 to 21 days (University of Florida HS-86); the strip's own days are 4 to 6 weeks.
    [Fact]
    public void Citrus_buds_are_unwrapped_in_Floridas_weeks()
    {
        var subject = new Subject("citrus", Technique.TBud, Stage.Push, "none", "budding-strip", "x");
        double factor = Bench.Handbook.Thresholds.Number("task.slit_tie.factor", subject);
        Assert.Equal(14, Bench.Handbook.Ties["budding-strip"].SlitFromDays * factor);
        Assert.Equal(21, Bench.Handbook.Ties["budding-strip"].SlitByDays * factor);
    }
}

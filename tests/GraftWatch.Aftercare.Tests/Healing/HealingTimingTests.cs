using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Healing;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Healing;

/// <summary>Days to a stage at a steady temperature, against what was observed; the clock's numbers are estimates, so the observed span is the tolerance.</summary>
public sealed class HealingTimingTests
{
    private const int Days = 120;

    private static readonly PlaceClimate Climate = new(
        Bench.North, SceneWeather.At(Bench.North, new LocalDate(2026, 4, 1), Days).Build(), Instant.FromUtc(2026, 4, 1, 0, 0));

    private static double DaysTo(Stage stage, string key, Technique technique, double steadyC)
    {
        SpeciesTraits species = Bench.Handbook.Species[key];
        var subject = new Subject(key, technique, Stage.Set, "none", "none", "x");
        var plan = HealingPlan.For(Bench.Handbook.Thresholds, subject, species);
        var cambium = new double[Days * 24];
        Array.Fill(cambium, steadyC);
        var path = HealingPath.Of(cambium, Climate, species.Curve, 10, 0.4);
        Instant from = Climate.StartOf(0);
        return path.Reaches(from, plan.Begin(stage).Likely, 1) is { } at ? (at - from).TotalDays : double.PositiveInfinity;
    }

    // Citrus T-bud in warmth, [HartmannKester2011] after Mendel 1936, from memory: callus bridge 5 d, first tracheids 15 to 20 d.
    [Fact]
    public void Citrus_buds_bridge_and_join_as_Mendel_saw()
    {
        Assert.InRange(DaysTo(Stage.Knit, "citrus", Technique.TBud, 27), 3.5, 7);
        Assert.InRange(DaysTo(Stage.Run, "citrus", Technique.TBud, 27), 12, 20);
    }

    // Florida practice: a citrus bud is unwrapped after 14 to 21 days (University of Florida HS-86).
    [Fact]
    public void A_citrus_bud_has_joined_when_Florida_unwraps_it() => Assert.InRange(DaysTo(Stage.Run, "citrus", Technique.TBud, 25), 12, 21);

    // 'Fuyu' clefts in hot weather: bridge and first vessels 4 to 6 days, filled 6 to 10 (Suriyapananont et al. 1997).
    [Fact]
    public void Persimmon_clefts_bridge_within_a_week_in_heat() => Assert.InRange(DaysTo(Stage.Knit, "persimmon", Technique.Cleft, 28), 3.5, 7);

    // Walnut: callus starts about 14 days in a mini-graft trial at room warmth, new vessels at 30 (Tehran); hot callusing at 27 °C takes 24 to 28 days.
    [Fact]
    public void Walnut_joins_within_the_observed_month()
    {
        Assert.InRange(DaysTo(Stage.Run, "walnut", Technique.WhipAndTongue, 27), 24, 34);
        Assert.InRange(DaysTo(Stage.Push, "walnut", Technique.WhipAndTongue, 27), 15, 28);
    }

    // Grape bench grafts at 27 to 29 °C: callus in 7 days at best, usually 14 to 21 (a grower's notes).
    [Fact]
    public void Grape_calluses_in_the_callus_rooms_weeks()
    {
        Assert.InRange(DaysTo(Stage.Knit, "grape", Technique.Saddle, 27), 6, 14);
        Assert.InRange(DaysTo(Stage.Run, "grape", Technique.Saddle, 27), 14, 24);
    }

    // Apple and pear in the field at 12 to 15 °C: "about three weeks to fully callused" (a grower's notes).
    [Fact]
    public void Apple_is_callused_in_three_weeks_of_a_cool_spring()
    {
        Assert.InRange(DaysTo(Stage.Knit, "apple", Technique.WhipAndTongue, 13.5), 14, 24);
        Assert.InRange(DaysTo(Stage.Knit, "pear", Technique.WhipAndTongue, 13.5), 14, 24);
    }

    // Tropical Agriculture 75(3), 1998.
    [Fact]
    public void Mango_at_20_degrees_never_joins() => Assert.Equal(double.PositiveInfinity, DaysTo(Stage.Knit, "mango", Technique.SideVeneer, 20));

    // Cool weeks: ten degrees for a month carry apple to the bridge, but not walnut, grape or citrus to a joined cambium.
    [Theory]
    [InlineData("walnut", Technique.WhipAndTongue)]
    [InlineData("grape", Technique.Cleft)]
    [InlineData("citrus", Technique.TBud)]
    public void A_month_at_10_degrees_does_not_join_kinds_that_need_warmth(string species, Technique technique) =>
        Assert.True(DaysTo(Stage.Push, species, technique, 10) > 30);

    [Fact]
    public void A_month_at_10_degrees_bridges_apple() => Assert.True(DaysTo(Stage.Knit, "apple", Technique.WhipAndTongue, 10) <= 30);

    // Chip unions complete weeks before others in apple (Skene, Shepherd & Howard 1983, from memory).
    [Fact]
    public void A_chip_bud_joins_before_a_cleft() =>
        Assert.True(DaysTo(Stage.Run, "apple", Technique.ChipBud, 18) < DaysTo(Stage.Run, "apple", Technique.Cleft, 18) - 5);

    // An apple shield bud of three weeks in an English summer is still tissue with gaps; the cambium is found joined at eight weeks (Mosse & Labern 1960, captions).
    [Fact]
    public void An_apple_bud_of_three_weeks_has_not_its_vessels_and_one_of_eight_weeks_has()
    {
        double days = DaysTo(Stage.Run, "apple", Technique.TBud, 16);
        Assert.InRange(days, 21, 56);
    }

    // Concave, then falling: a sunny day at 35 °C heals an apple slower than its mean of 20 °C says.
    [Fact]
    public void Hours_count_not_daily_means()
    {
        SpeciesTraits apple = Bench.Handbook.Species["apple"];
        double swinging = 0.5 * (HealingPath.Rates([5], apple.Curve)[0] + HealingPath.Rates([35], apple.Curve)[0]);
        Assert.True(swinging < HealingPath.Rates([20], apple.Curve)[0]);
    }

    [Fact]
    public void Hours_that_are_missing_run_at_the_mean_of_their_neighbours()
    {
        SpeciesTraits apple = Bench.Handbook.Species["apple"];
        var whole = new double[Days * 24];
        Array.Fill(whole, 15);
        double[] holed = [.. whole];
        Array.Fill(holed, double.NaN, 300, 48);
        var a = HealingPath.Of(whole, Climate, apple.Curve, 10, 0.4);
        var b = HealingPath.Of(holed, Climate, apple.Curve, 10, 0.4);
        Assert.Equal(48, b.UnknownHours);
        Assert.Equal(a.Between(Climate.StartOf(0), Climate.EndOf(500)), b.Between(Climate.StartOf(0), Climate.EndOf(500)), 6);
    }

    [Fact]
    public void Nothing_known_means_an_unknown_clock()
    {
        var nothing = new double[Days * 24];
        Array.Fill(nothing, double.NaN);
        Assert.False(HealingPath.Of(nothing, Climate, Bench.Handbook.Species["apple"].Curve, 10, 0.4).IsKnown);
    }
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tests.Scenes;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Healing;

public sealed class HealingClockTests
{
    private static readonly LocalDate Made = new(2026, 4, 10);
    private static readonly LocalDate Day = new(2026, 5, 8);

    private static GraftStage Stage(params Observation[] seen)
    {
        SceneWeather weather = SceneWeather.At(Bench.North, Made.PlusDays(-5), 45).Usually(new SceneDay { LowC = 6, HighC = 15, NoonSunWPerM2 = 500, CloudFrac = 0.6 });
        return Bench.Round(weather, [Bench.Graft("A", Made)], Day, request => request with { Observations = seen }).Stages.Single();
    }

    private static Observation Seen(ObservationKind kind, int daysAgo, double? value = null) =>
        new("A", Bench.Morning(Bench.North, Day.PlusDays(-daysAgo)), kind, value);

    [Fact]
    public void Without_sightings_the_temperature_clock_speaks() => Assert.Equal(Aftercare.Grafts.Stage.Knit, Stage().Stage);

    [Fact]
    public void Green_tip_moves_the_clock_to_push() =>
        Assert.Equal(Aftercare.Grafts.Stage.Push, Stage(Seen(ObservationKind.GreenTip, 1)).Stage);

    [Fact]
    public void Leaves_are_not_proof_of_take() =>
        Assert.Equal(Aftercare.Grafts.Stage.Push, Stage(Seen(ObservationKind.LeafOut, 1)).Stage);

    [Fact]
    public void A_shoot_of_a_hands_length_says_that_vessels_have_joined() =>
        Assert.Equal(Aftercare.Grafts.Stage.Run, Stage(Seen(ObservationKind.ShootLength, 1, 0.18)).Stage);

    [Fact]
    public void The_growers_word_that_it_has_taken_stands() =>
        Assert.Equal(Aftercare.Grafts.Stage.Run, Stage(Seen(ObservationKind.Taken, 1)).Stage);

    [Fact]
    public void A_bud_still_asleep_holds_the_clock_back()
    {
        GraftStage free = Stage();
        GraftStage held = Stage(Seen(ObservationKind.Bbch, 0, 1));
        Assert.True(held.HealingDays <= free.HealingDays);
        Assert.True(held.Stage < Aftercare.Grafts.Stage.Push);
    }

    [Fact]
    public void A_dead_scion_has_failed_and_leaves_the_round_with_a_window_to_graft_again()
    {
        SceneWeather weather = SceneWeather.At(Bench.North, Made.PlusDays(-5), 45);
        Round round = Bench.Round(weather, [Bench.Graft("A", Made)], Day, request => request with { Observations = [Seen(ObservationKind.Dead, 1)] });
        Assert.Equal(Aftercare.Grafts.Stage.Failed, round.Stages.Single().Stage);
        Assert.Null(round.Stages.Single().NextStage);
        Assert.All(round.Advice, advice => Assert.Equal(WorkAction.Regraft, advice.Action));
    }

    [Fact]
    public void Sightings_of_the_future_do_not_count() =>
        Assert.Equal(Stage().Stage, Stage(Seen(ObservationKind.Taken, -3)).Stage);

    [Fact]
    public void The_coming_stage_has_dates_in_order()
    {
        GraftStage stage = Stage();
        Assert.NotNull(stage.NextStage);
        Assert.True(stage.Early <= stage.Likely && stage.Likely <= stage.Late);
        Assert.True(stage.Early >= Day);
    }

    [Fact]
    public void A_bud_set_in_late_summer_sleeps_until_spring()
    {
        LocalDate made = new(2026, 8, 5);
        SceneWeather weather = SceneWeather.At(Bench.North, made.PlusDays(-2), 90);
        Graft bud = Bench.Graft("A", made, "apple", Technique.ChipBud);
        GraftStage autumn = Bench.Round(weather, [bud], made.PlusDays(70)).Stages.Single();
        Assert.Equal(Aftercare.Grafts.Stage.Knit, autumn.Stage);
    }
}

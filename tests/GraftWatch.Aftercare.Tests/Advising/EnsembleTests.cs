using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Advising;

public sealed class EnsembleTests
{
    private static readonly LocalDate Day = new(2026, 5, 15);
    private static readonly SceneDay Hot = new() { LowC = 16, HighC = 33, DewPointC = 12, NoonSunWPerM2 = 950, CloudFrac = 0, WindMPerS = 1.5 };
    private static readonly SceneDay Cool = new() { HighC = 17, CloudFrac = 0.8, NoonSunWPerM2 = 500 };

    private static HourlyWeather Path(bool hot) => SceneWeather.At(Bench.North, Day.PlusDays(-20), 31).Usually(Cool).On(Day, hot ? Hot : Cool).Build();

    private static Round Round(int hotMembers, int members, bool controlHot, ValueRule? value = null)
    {
        HourlyWeather hot = Path(true);
        HourlyWeather cool = Path(false);
        return Bench.Round(Bench.North, controlHot ? hot : cool, [Bench.Graft("A", Day.PlusDays(-12))], Day, request => request with
        {
            Places = [request.Places[0] with { Members = [.. Enumerable.Range(0, members).Select(i => i < hotMembers ? hot : cool)] }],
            Value = value,
        });
    }

    // (k + 2/3) / (n + 4/3), [Wilks2011]: 15 of 51 is 0.2994, 3 of 30 is 0.1170, 30 of 30 is 0.9787.
    [Theory]
    [InlineData(30, 30, 0.9787)]
    [InlineData(26, 51, 0.5096)]
    public void The_chance_is_counted_over_whole_paths(int hot, int members, double expected)
    {
        Advice shade = Round(hot, members, controlHot: true).Advice.Single(advice => advice.Action == WorkAction.Shade);
        Assert.Equal(expected, shade.Probability!.Value, 4);
    }

    [Theory]
    [InlineData(15, 51, 0.2994)]
    [InlineData(3, 30, 0.1170)]
    public void A_chance_below_the_growers_limit_is_a_note_even_where_the_single_run_is_hot(int hot, int members, double expected)
    {
        Round round = Round(hot, members, controlHot: true);
        Assert.DoesNotContain(round.Advice, advice => advice.Action == WorkAction.Shade);
        Advice note = round.Advice.Single(advice => advice.Hazard == Hazard.Heat);
        Assert.Equal(Level.Note, note.Level);
        Assert.Equal(expected, note.Probability!.Value, 4);
    }

    [Fact]
    public void Members_can_ask_for_work_that_the_single_run_does_not_see()
    {
        Advice shade = Round(20, 30, controlHot: false).Advice.Single(advice => advice.Action == WorkAction.Shade);
        Assert.True(shade.Level >= Level.Act);
        Assert.Equal((20 + (2.0 / 3)) / (30 + (4.0 / 3)), shade.Probability!.Value, 6);
    }

    [Fact]
    public void A_single_run_gives_no_chance()
    {
        Round round = Bench.Round(Bench.North, Path(true), [Bench.Graft("A", Day.PlusDays(-12))], Day);
        Assert.All(round.Advice, advice => Assert.Null(advice.Probability));
    }

    // Cost-loss rule [Murphy1977]: act above C/L. Half the members hot: a visit of 4 for a graft of 10 pays (0.4 < 0.51), one of 6 does not.
    [Theory]
    [InlineData(4, true)]
    [InlineData(6, false)]
    public void Work_is_asked_for_when_it_pays(double visit, bool asked)
    {
        Round round = Round(26, 51, controlHot: true, new ValueRule(visit, 10));
        Assert.Equal(asked, round.Advice.Any(advice => advice.Action == WorkAction.Shade));
        Assert.Contains(round.Advice, advice => advice.Hazard == Hazard.Heat);
    }
}

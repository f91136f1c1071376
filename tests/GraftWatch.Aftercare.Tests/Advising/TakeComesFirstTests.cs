using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Advising;

/// <summary>Cutting and untying wait until it is known that the graft has taken (common practice, no source).</summary>
public sealed class TakeComesFirstTests
{
    private static readonly LocalDate Saturday = new(2026, 5, 16);
    private static readonly SceneDay Mild = new() { RainMm = 4 };
    private static readonly SceneDay Scorching = new() { LowC = 24, HighC = 46, DewPointC = 8, NoonSunWPerM2 = 950, CloudFrac = 0, WindMPerS = 2 };

    private static Round Buds(int daysAgo, bool answered, SceneDay? tomorrow = null, Func<Graft, Graft>? change = null)
    {
        Graft bud = Bench.Graft("B-1", Saturday.PlusDays(-daysAgo), "apple", Technique.TBud);
        return Bench.Round(
            SceneWeather.At(Bench.North, Saturday.PlusDays(-60), 71).Usually(Mild).On(Saturday.PlusDays(1), tomorrow ?? Mild),
            [change?.Invoke(bud) ?? bud],
            Saturday,
            request => answered
                ? request with { Said = [new SaidBefore(WorkAction.TakeCheck, null, "B-1", Saturday.PlusDays(-7), Level.Act, SaidState.Done, null, Saturday.PlusDays(-5))] }
                : request);
    }

    private static bool Says(Round round, WorkAction action) => round.Advice.Any(advice => advice.Action == action);

    [Fact]
    public void A_stock_is_not_headed_back_before_its_bud_was_checked()
    {
        Round unanswered = Buds(22, answered: false);
        Assert.True(Says(unanswered, WorkAction.TakeCheck));
        Assert.False(Says(unanswered, WorkAction.HeadBack));
        Assert.True(Says(Buds(22, answered: true), WorkAction.HeadBack));
    }

    [Fact]
    public void A_check_that_nobody_answered_is_named_before_the_cut()
    {
        Advice cut = Assert.Single(Buds(33, answered: false).Advice, advice => advice.Action == WorkAction.HeadBack);
        Assert.StartsWith("Where the bud is green, ", cut.Text, StringComparison.Ordinal);
        Assert.StartsWith("No take is recorded", cut.Why, StringComparison.Ordinal);
    }

    [Fact]
    public void A_stock_is_not_headed_back_in_a_heat_spell()
    {
        Round round = Buds(22, answered: true, Scorching);
        Assert.False(Says(round, WorkAction.HeadBack));
        Assert.Contains(round.Advice, advice => advice.Action == WorkAction.Wait && advice.Why.Contains("lies ahead", StringComparison.Ordinal));
    }

    [Fact]
    public void A_tie_stays_on_until_the_take_was_checked_or_its_last_day_has_come()
    {
        foreach (int day in Enumerable.Range(14, 11))
        {
            Assert.False(Says(Buds(day, answered: false), WorkAction.SlitTie), $"day {day}");
        }

        Assert.True(Says(Buds(43, answered: false), WorkAction.SlitTie));
    }

    [Fact]
    public void A_union_nobody_looked_at_is_never_said_to_have_joined()
    {
        foreach (int day in Enumerable.Range(14, 40))
        {
            Assert.All(Buds(day, answered: false).Advice, advice =>
            {
                Assert.DoesNotContain("has joined", advice.Why, StringComparison.Ordinal);
                Assert.DoesNotContain("has knitted", advice.Why, StringComparison.Ordinal);
            });
        }
    }

    [Fact]
    public void Ties_of_buds_are_slit_away_from_the_bud() =>
        Assert.Contains("away from the bud", Assert.Single(Buds(43, answered: false).Advice, advice => advice.Action == WorkAction.SlitTie).Text, StringComparison.Ordinal);

    [Fact]
    public void An_approach_graft_is_not_judged_as_an_unsealed_scion()
    {
        Round round = Buds(12, answered: false, change: graft => graft with { Technique = Technique.Approach, Seal = "none" });
        FineHazard drying = Assert.Single(round.Fine, fine => fine.Hazard == Hazard.Drying);
        Assert.Equal("daytime dryness at the bound union", drying.Quantity);
    }

    [Fact]
    public void Every_number_and_its_reason_name_the_same_step()
    {
        Round round = Buds(12, answered: false, Scorching, graft => graft with { Technique = Technique.WhipAndTongue });
        Advice heat = Assert.Single(round.Advice, advice => advice.Hazard == Hazard.Heat);
        Reason reason = heat.Reasons[0];
        Assert.Equal(heat.Level, reason.Step);
        Assert.Contains($"{reason.Threshold:0} °C", heat.Why, StringComparison.Ordinal);
    }
}

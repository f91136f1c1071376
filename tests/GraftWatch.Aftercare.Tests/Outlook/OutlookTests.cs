using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tests.Scenes;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Outlook;

public sealed class OutlookTests
{
    private static readonly LocalDate Day = new(2026, 5, 15);

    private static GraftingOutlook Make(SceneDay days, string species, Technique technique, (int Day, SceneDay Weather)? other = null)
    {
        SceneWeather weather = SceneWeather.At(Bench.North, Day.PlusDays(-10), 24).Usually(days);
        if (other is { } one)
        {
            weather.On(Day.PlusDays(one.Day), one.Weather);
        }

        return Bench.Round(weather, [], Day, request => request with { Planned = [new PlannedGrafting(Bench.North.Name, species, technique)] }).Planned.Single();
    }

    // Apple takes best at 13-18 °C: mild days of 9 to 18 °C are good ones.
    [Fact]
    public void Mild_days_suit_apple()
    {
        GraftingOutlook outlook = Make(new SceneDay { RainMm = 0.5 }, "apple", Technique.Cleft);
        Assert.True(outlook.Days.Count(day => day.IsGood) >= 3);
        Assert.Contains("Good days", outlook.Text, StringComparison.Ordinal);
    }

    // Walnut wants 25-28 °C: the same days are too cool.
    [Fact]
    public void The_same_days_are_too_cool_for_walnut()
    {
        GraftingOutlook outlook = Make(new SceneDay { RainMm = 0.5 }, "walnut", Technique.Bark);
        Assert.DoesNotContain(outlook.Days, day => day.IsGood);
        Assert.Contains("too cool to knit", outlook.Text, StringComparison.Ordinal);
    }

    // Wet bark holds neither tape nor wax: more than 5 mm is a veto.
    [Fact]
    public void A_wet_day_is_no_grafting_day()
    {
        GraftingOutlook outlook = Make(new SceneDay(), "apple", Technique.TBud, (2, new SceneDay { RainMm = 12 }));
        Assert.Equal(0, outlook.Days.Single(day => day.Date == Day.PlusDays(2)).ScoreFrac);
    }

    // 35 °C in the ten days after is a veto for any grafting.
    [Fact]
    public void A_heat_wave_ahead_is_a_veto()
    {
        GraftingOutlook outlook = Make(new SceneDay(), "apple", Technique.Cleft, (5, new SceneDay { HighC = 37, LowC = 20 }));
        Assert.Equal(0, outlook.Days[0].ScoreFrac);
        Assert.Contains("heat in the days after", outlook.Days[0].Against);
    }

    // A plan is no graft: what cannot be judged stands in the outlook and must not make the round look broken.
    [Fact]
    public void A_plan_without_weather_or_for_an_unknown_species_says_so_itself()
    {
        SceneWeather weather = SceneWeather.At(Bench.North, Day.PlusDays(-10), 24).Usually(new SceneDay());
        Round round = Bench.Round(weather, [], Day, request => request with
        {
            Planned = [new PlannedGrafting("Elsewhere", "apple", Technique.Cleft), new PlannedGrafting(Bench.North.Name, "moon-tree", Technique.Cleft)],
        });

        Assert.All(round.Planned, plan => Assert.Empty(plan.Days));
        Assert.Equal(
            ["No day for a cleft graft of apple could be judged, because Elsewhere is not among the places of this round.", "No day for a cleft graft of moon-tree could be judged, because moon-tree is not in species.toml."],
            round.Planned.Select(plan => plan.Text));
        Assert.Empty(round.NotChecked);
    }

    [Fact]
    public void Days_near_the_end_of_the_forecast_are_not_judged()
    {
        GraftingOutlook outlook = Make(new SceneDay(), "apple", Technique.Cleft);
        Assert.True(double.IsNaN(outlook.Days[^1].ScoreFrac));
    }
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Advising;

/// <summary>What was said before and what becomes of it today: one hot day, one bare graft, urgent shade.</summary>
public sealed class SaidRulesTests
{
    private static readonly LocalDate Day = new(2026, 5, 15);

    private static Advice? Shade(SaidState state, Level last, int saidDaysAgo, int? untilInDays = null)
    {
        SceneWeather weather = SceneWeather.At(Bench.North, Day.PlusDays(-20), 31)
            .On(Day, new SceneDay { LowC = 16, HighC = 34, DewPointC = 12, NoonSunWPerM2 = 950, CloudFrac = 0, WindMPerS = 1.5 });
        return Bench.Round(weather, [Bench.Graft("A", Day.PlusDays(-12))], Day, request => request with
        {
            Said = [new SaidBefore(WorkAction.Shade, Hazard.Heat, "A", Day.PlusDays(-saidDaysAgo), last, state, untilInDays is { } days ? Day.PlusDays(days) : null, Day.PlusDays(-saidDaysAgo))],
        }).Advice.SingleOrDefault(advice => advice is { Action: WorkAction.Shade, Hazard: Hazard.Heat });
    }

    [Theory]
    // Open since yesterday at the same level: said on, but not shouted.
    [InlineData(SaidState.Open, Level.Urgent, 1, null, Level.Act)]
    // Open, and it got worse: shouted.
    [InlineData(SaidState.Open, Level.Act, 1, null, Level.Urgent)]
    // Done yesterday: silent.
    [InlineData(SaidState.Done, Level.Urgent, 1, null, Level.None)]
    // Done yesterday at a lower level: it got worse, said again.
    [InlineData(SaidState.Done, Level.Act, 1, null, Level.Urgent)]
    // Done a week ago: a new spell is new.
    [InlineData(SaidState.Done, Level.Urgent, 7, null, Level.Urgent)]
    // Not needed, as bad as it was: silent.
    [InlineData(SaidState.NotNeeded, Level.Urgent, 1, null, Level.None)]
    // Put off until the day after tomorrow: silent.
    [InlineData(SaidState.PutOff, Level.Urgent, 1, 2, Level.None)]
    // Put off, but it has become urgent since: said.
    [InlineData(SaidState.PutOff, Level.Act, 1, 2, Level.Urgent)]
    // Put off until today: said again.
    [InlineData(SaidState.PutOff, Level.Urgent, 3, 0, Level.Urgent)]
    public void What_was_said_is_respected(SaidState state, Level last, int daysAgo, int? until, Level expected)
    {
        Advice? shade = Shade(state, last, daysAgo, until);
        Assert.Equal(expected, shade?.Level ?? Level.None);
        if (state == SaidState.Open)
        {
            Assert.Equal(Day.PlusDays(-daysAgo), shade!.OpenSince);
            Assert.Contains("Still open since", shade.Text, StringComparison.Ordinal);
        }
    }
}

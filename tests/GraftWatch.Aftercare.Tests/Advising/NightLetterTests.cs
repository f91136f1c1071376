using System.Globalization;
using System.Text.RegularExpressions;
using CsCheck;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Advising;

/// <summary>Rounds made at any hour: what can still be done is asked for, what cannot is called a loss, and no hour is named that is past.</summary>
public sealed partial class NightLetterTests
{
    private static readonly LocalDate Day = new(2026, 4, 24);
    private static readonly SceneDay Cold = new() { LowC = -1, HighC = 11, DewPointC = -5, WindMPerS = 0.8, CloudFrac = 0 };

    private static Graft Vine => Bench.Graft("A-1", new(2026, 3, 20), "grape", Technique.Cleft) with { ShootM = 0.08, Bbch = 12, Count = 3 };

    private static Round At(int hour, int minute, SceneDay frost, LocalDate night, Graft graft, params SaidBefore[] said) => Bench.Round(
        SceneWeather.At(Bench.North, Day.PlusDays(-60), 71).Usually(new SceneDay { RainMm = 4 }).On(night, frost),
        [graft],
        Day,
        request => request with { Now = Day.At(new LocalTime(hour, minute)).InZoneLeniently(Bench.North.Zone).ToInstant(), Said = said });

    private static Advice Frost(Round round) => Assert.Single(round.Advice, advice => advice.Hazard == Hazard.Frost && advice.Level >= Level.Act);

    [Theory]
    [InlineData(0, 15, 0)]
    [InlineData(2, 30, 0)]
    [InlineData(23, 50, 1)]
    public void In_the_night_of_a_frost_a_cover_is_asked_for_at_once_while_it_still_helps(int hour, int minute, int nightsAhead)
    {
        Round round = At(hour, minute, Cold, Day.PlusDays(nightsAhead), Vine with { HeightM = 2.2 });
        Advice cover = Frost(round);
        Assert.Equal((WorkAction.FrostCover, round.Now), (cover.Action, cover.DoBy));
        Assert.Contains("with fleece at once; ", cover.Text, StringComparison.Ordinal);
        string care = Assert.Single(cover.Cautions);
        Assert.Contains("no ladder; what cannot be reached from the ground is better left", care, StringComparison.Ordinal);
    }

    [Fact]
    public void By_day_a_cover_for_the_night_has_its_hour_and_the_ladder_its_caution()
    {
        Advice cover = Frost(At(15, 0, Cold, Day.PlusDays(1), Vine with { HeightM = 2.2 }));
        Assert.Contains("before 20:00", cover.Text, StringComparison.Ordinal);
        Assert.StartsWith("Ladder:", Assert.Single(cover.Cautions), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(-1, Level.Act, "Some frost losses may come at the 3 unions in Block B: it is too late to cover them; bud temperature would fall to −2.0 °C at 05:00.")]
    [InlineData(-2, Level.Urgent, "Expect frost losses at the 3 unions in Block B: it is too late to cover them; bud temperature would fall to −3.0 °C at 05:00.")]
    public void A_frost_at_its_coldest_is_called_a_loss(double low, Level level, string words)
    {
        Advice lost = Frost(At(4, 45, Cold with { LowC = low }, Day, Vine));
        Assert.Equal((WorkAction.Know, level, null, words), (lost.Action, lost.Level, lost.DoBy, lost.Text));
        Assert.Contains("keep wood for grafting again", lost.Why, StringComparison.Ordinal);
    }

    // Two nights: for the first it is too late, the second can be covered. Both are said.
    [Fact]
    public void What_is_lost_tonight_does_not_hide_what_can_be_saved_tomorrow()
    {
        Round round = Bench.Round(
            SceneWeather.At(Bench.North, Day.PlusDays(-60), 71).Usually(new SceneDay { RainMm = 4 }).On(Day, Cold).On(Day.PlusDays(1), Cold),
            [Vine],
            Day,
            request => request with { Now = Day.At(new LocalTime(4, 45)).InZoneLeniently(Bench.North.Zone).ToInstant() });
        Assert.Equal(
            [WorkAction.FrostCover, WorkAction.Know],
            round.Advice.Where(advice => advice is { Hazard: Hazard.Frost, Level: >= Level.Act }).Select(advice => advice.Action).Order());
    }

    // Tonight nothing helps any more, and under a cover it would be hopeless; tomorrow's milder frost is weighed by itself.
    [Fact]
    public void A_lost_night_does_not_decide_what_helps_in_the_next()
    {
        Round round = Bench.Round(
            SceneWeather.At(Bench.North, Day.PlusDays(-60), 71).Usually(new SceneDay { RainMm = 4 }).On(Day, Cold with { LowC = -9 }).On(Day.PlusDays(1), Cold with { LowC = -2 }),
            [Vine],
            Day,
            request => request with { Now = Day.At(new LocalTime(4, 45)).InZoneLeniently(Bench.North.Zone).ToInstant() });
        Advice cover = Assert.Single(round.Advice, advice => advice is { Action: WorkAction.FrostCover, Hazard: Hazard.Frost });
        Assert.EndsWith("bud temperature would fall to −3.0 °C on Sat at 05:00, 0.0 °C with blanket to the ground.", cover.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("does not bring it", cover.Why, StringComparison.Ordinal);
    }

    // The letter of yesterday asked for a cover, and nobody said whether it went on.
    [Fact]
    public void Who_was_asked_to_cover_is_told_of_losses_where_nothing_was_covered()
    {
        Round round = At(4, 45, Cold, Day, Vine, new SaidBefore(WorkAction.FrostCover, Hazard.Frost, "A-1", Day.PlusDays(-1), Level.Urgent, SaidState.Open));
        Advice lost = Frost(round);
        Assert.Contains("in Block B where nothing was covered: it is too late to cover them", lost.Text, StringComparison.Ordinal);
    }

    // −16 °C and nothing that helps: yesterday's letter said it, and said again it is still a loss, not a matter for the eve.
    [Theory]
    [InlineData(0, 15)]
    [InlineData(2, 30)]
    public void A_loss_that_was_told_stays_a_loss(int hour, int minute)
    {
        Round round = At(hour, minute, Cold with { LowC = -16 }, Day, Vine, new SaidBefore(WorkAction.Know, Hazard.Frost, "A-1", Day.PlusDays(-1), Level.Urgent, SaidState.Open));
        Advice again = Assert.Single(round.Advice, advice => advice.Hazard == Hazard.Frost);
        Assert.Equal(Level.Note, again.Level);
        Assert.StartsWith("Expect losses at the 3 unions in Block B; ", again.Text, StringComparison.Ordinal);
        Assert.Contains("No cover known", again.Why, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(SaidState.Done)]
    [InlineData(SaidState.NotNeeded)]
    public void Who_covered_on_the_eve_is_not_told_of_losses(SaidState state)
    {
        Round round = At(4, 45, Cold, Day, Vine, new SaidBefore(WorkAction.FrostCover, Hazard.Frost, "A-1", Day.PlusDays(-1), Level.Act, state, null, Day.PlusDays(-1)));
        Assert.DoesNotContain(round.Advice, advice => advice is { Hazard: Hazard.Frost, Level: >= Level.Act });
    }

    [Fact]
    public void Of_more_work_than_the_night_has_hours_as_much_is_named_as_can_be_done()
    {
        Advice cover = Frost(At(2, 15, Cold, Day, Vine with { Count = 200 }));
        Assert.Contains("One person has time for about 35 of them before the coldest hour.", cover.Why, StringComparison.Ordinal);
    }

    [Fact]
    public void A_night_some_days_ahead_is_one_to_cover_on_its_eve()
    {
        Advice ahead = Assert.Single(At(6, 0, Cold, Day.PlusDays(4), Vine).Advice, advice => advice.Hazard == Hazard.Frost);
        Assert.EndsWith("Expect to cover on the eve.", ahead.Text, StringComparison.Ordinal);
    }

    // At ten in the evening nothing is due today any more.
    [Fact]
    public void Dated_work_named_after_the_working_day_is_due_tomorrow()
    {
        LocalDate saturday = Day.PlusDays(1);
        Round Of(int hour) => Bench.Round(
            SceneWeather.At(Bench.North, Day.PlusDays(-60), 71).Usually(new SceneDay { RainMm = 4 }),
            [Bench.Graft("B-1", Day.PlusDays(-40)) with { Tie = "raffia", ShootM = 0.2 }],
            saturday,
            request => request with { Now = saturday.At(new LocalTime(hour, 0)).InZoneLeniently(Bench.North.Zone).ToInstant() });
        Round morning = Of(6);
        Round night = Of(22);
        Assert.Contains(morning.Advice, advice => advice.Text.EndsWith(", today.", StringComparison.Ordinal));
        Assert.All(night.Advice, advice => Assert.False(advice.DoBy <= night.Now, advice.Text));
        Assert.DoesNotContain(night.Advice, advice => advice.Text.Contains(", today", StringComparison.Ordinal));
        Assert.Contains(night.Advice, advice => advice.Text.EndsWith(", by tomorrow.", StringComparison.Ordinal));
    }

    private static readonly Gen<Graft> AnyGraft = Gen.Select(
        Gen.OneOfConst("apple", "grape", "citrus", "walnut", "peach"),
        Gen.OneOfConst(Technique.WhipAndTongue, Technique.Cleft, Technique.SideVeneer, Technique.TBud),
        Gen.OneOfConst([.. Bench.Handbook.Covers.Keys]),
        Gen.Int[2, 50],
        Gen.Int[0, 60])
        .Select((species, technique, cover, age, shoot) => Bench.Graft("A-1", Day.PlusDays(-age), species, technique) with
        {
            Cover = cover,
            ShootM = shoot < 20 ? null : shoot / 100.0,
            Bbch = shoot < 20 ? null : 12,
            Seal = age % 3 == 0 ? "none" : "wax",
        });

    private static readonly Gen<SceneDay> AnyDay = Gen.Select(Gen.Double[-12, 12], Gen.Double[10, 40], Gen.Double[3, 30], Gen.Int[0, 20], Gen.Double[0, 50])
        .Select((low, high, gust, from, rain) => new SceneDay
        {
            LowC = low,
            HighC = Math.Max(high, low + 4),
            DewPointC = Math.Min(6, low),
            CloudFrac = 0,
            NoonSunWPerM2 = 950,
            WindMPerS = 1 + (gust / 8),
            GustMPerS = gust,
            GustFrom = from,
            GustTo = from + 3,
            RainMm = rain < 25 ? 0 : rain,
        });

    [Fact]
    public void No_line_names_an_hour_that_is_past_and_no_urgent_hazard_is_told_as_a_mere_note() =>
        Gen.Select(AnyGraft, AnyDay, AnyDay, Gen.Int[0, (24 * 12) - 1], Gen.Bool).Sample(
            (graft, first, second, fiveMinutes, told) =>
            {
                Instant now = Day.AtMidnight().PlusMinutes(5 * fiveMinutes).InZoneLeniently(Bench.North.Zone).ToInstant();
                SceneWeather weather = SceneWeather.At(Bench.North, Day.PlusDays(-60), 71).Usually(new SceneDay { RainMm = 4 }).On(Day, first).On(Day.PlusDays(1), second);
                IReadOnlyList<SaidBefore> said = !told ? [] :
                [
                    .. Enum.GetValues<Hazard>().Select(hazard => new SaidBefore(WorkAction.Know, hazard, "A-1", Day.PlusDays(-1), Level.Urgent, SaidState.Open)),
                ];
                Round round = Bench.Round(weather, [graft], Day, request => request with { Now = now, Said = said });
                Assert.DoesNotContain(round.NotChecked, gap => gap.IsEverything);
                foreach (Advice advice in round.Advice)
                {
                    string seen = $"{now.InZone(Bench.North.Zone)}: {advice.Level} {advice.Text} {advice.Why}";
                    Assert.True(advice.DoBy is null || advice.DoBy >= now, seen);
                    Assert.All(Named(advice.Text), hour => Assert.True(hour >= now.InZone(Bench.North.Zone).TimeOfDay, seen));
                    Assert.False(advice.Text.Contains("on the eve", StringComparison.Ordinal) && advice.Reasons[0].At - now < Duration.FromHours(4), seen);
                    bool merely = advice is { Level: Level.Note, Hazard: not null } && advice.Reasons.Any(reason => reason.Step == Level.Urgent && reason.At - now < Duration.FromHours(24));
                    bool worked = round.Advice.Any(other => other.Level >= Level.Act && other.Hazard is not null);
                    Assert.True(!merely || worked || Says(advice, "losses", "sunburn", "Wait for the flow"), seen);
                }
            },
            iter: 120, threads: 1);

    private static bool Says(Advice advice, params string[] words) =>
        words.Any(word => advice.Text.Contains(word, StringComparison.Ordinal) || advice.Why.Contains(word, StringComparison.Ordinal));

    private static IEnumerable<LocalTime> Named(string text) => Before().Matches(text)
        .Select(match => new LocalTime(int.Parse(match.Groups[1].ValueSpan, CultureInfo.InvariantCulture), int.Parse(match.Groups[2].ValueSpan, CultureInfo.InvariantCulture)));

    [GeneratedRegex(@"before (\d\d):(\d\d)")]
    private static partial Regex Before();
}

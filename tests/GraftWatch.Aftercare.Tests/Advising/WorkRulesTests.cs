using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Advising;

/// <summary>Rules between pieces of advice: what an answer silences, what is called fine, what is said once.</summary>
public sealed class WorkRulesTests
{
    private static readonly LocalDate April = new(2026, 4, 24);
    private static readonly LocalDate May = new(2026, 5, 15);
    private static readonly SceneDay FrostNight = new() { LowC = -1, HighC = 11, DewPointC = -5, WindMPerS = 0.8, CloudFrac = 0 };
    private static readonly SceneDay Hot = new() { LowC = 16, HighC = 34, DewPointC = 12, NoonSunWPerM2 = 950, CloudFrac = 0, WindMPerS = 1.5 };

    private static Graft Vine => Bench.Graft("A-1", new(2026, 3, 20), "grape", Technique.Cleft) with { ShootM = 0.08, Bbch = 12 };

    private static SceneWeather Spring(params LocalDate[] frosts)
    {
        SceneWeather weather = SceneWeather.At(Bench.North, April.PlusDays(-60), 71).Usually(new SceneDay { RainMm = 4 });
        return frosts.Aggregate(weather, (soFar, day) => soFar.On(day, FrostNight));
    }

    private static SceneWeather Summer(SceneDay day) => SceneWeather.At(Bench.North, May.PlusDays(-20), 31).On(May, day);

    private static SaidBefore Answer(WorkAction action, Hazard hazard, LocalDate day, SaidState state) =>
        new(action, hazard, "A-1", day, Level.Urgent, state, null, day);

    // A fleece goes on at dusk and comes off in the morning: "done" speaks of one night.
    [Theory]
    [InlineData(SaidState.Done, -1, true)]
    [InlineData(SaidState.NotNeeded, -1, true)]
    [InlineData(SaidState.Done, 0, false)]
    [InlineData(SaidState.NotNeeded, 0, false)]
    public void An_answer_about_a_frost_cover_counts_for_its_own_night(SaidState state, int answeredDaysFromNow, bool said)
    {
        Round round = Bench.Round(Spring(April.PlusDays(1)), [Vine], April, request => request with
        {
            Said = [Answer(WorkAction.FrostCover, Hazard.Frost, April.PlusDays(answeredDaysFromNow), state)],
        });
        Assert.Equal(said, round.Advice.Any(advice => advice.Action == WorkAction.FrostCover));
    }

    [Fact]
    public void Not_needed_against_heat_does_not_silence_drying()
    {
        Round round = Bench.Round(Summer(Hot), [Bench.Graft("A-1", May.PlusDays(-12))], May, request => request with
        {
            Said = [Answer(WorkAction.Shade, Hazard.Heat, May.PlusDays(-1), SaidState.NotNeeded)],
        });
        Assert.Equal(Hazard.Drying, Assert.Single(round.Advice, advice => advice.Action == WorkAction.Shade).Hazard);
    }

    [Fact]
    public void A_line_against_two_hazards_names_both_and_not_needed_for_both_silences_it()
    {
        Graft graft = Bench.Graft("A-1", May.PlusDays(-12));
        Advice shade = Assert.Single(Bench.Round(Summer(Hot), [graft], May).Advice, advice => advice.Action == WorkAction.Shade);
        AlsoAgainst drying = Assert.Single(shade.AlsoAgainst);
        Assert.Equal((Hazard.Heat, Hazard.Drying), (shade.Hazard!.Value, drying.Hazard));
        Assert.Equal(["A-1"], drying.Grafts);
        Round after = Bench.Round(Summer(Hot), [graft], May, request => request with
        {
            Said = [Answer(WorkAction.Shade, Hazard.Heat, May, SaidState.NotNeeded), Answer(WorkAction.Shade, Hazard.Drying, May, SaidState.NotNeeded) with { LastLevel = drying.Level }],
        });
        Assert.DoesNotContain(after.Advice, advice => advice.Action == WorkAction.Shade);
    }

    [Fact]
    public void Done_against_heat_silences_the_same_work_against_drying_whatever_the_order_of_the_ledger()
    {
        SaidBefore done = Answer(WorkAction.Shade, Hazard.Heat, May.PlusDays(-1), SaidState.Done);
        SaidBefore older = Answer(WorkAction.Shade, Hazard.Sun, May.PlusDays(-9), SaidState.Done);
        foreach (SaidBefore[] ledger in (SaidBefore[][])[[done, older], [older, done]])
        {
            Round round = Bench.Round(Summer(Hot), [Bench.Graft("A-1", May.PlusDays(-12))], May, request => request with { Said = ledger });
            Assert.DoesNotContain(round.Advice, advice => advice.Action == WorkAction.Shade);
        }
    }

    [Fact]
    public void A_hazard_that_reaches_a_level_is_never_called_fine()
    {
        Round round = Bench.Round(Summer(Hot), [Bench.Graft("A-1", May.PlusDays(-12))], May, request => request with
        {
            Said = [Answer(WorkAction.Shade, Hazard.Heat, May.PlusDays(-1), SaidState.Done)],
        });
        Assert.DoesNotContain(round.Fine, fine => fine.Hazard is Hazard.Heat or Hazard.Drying);
        Assert.Contains(round.Fine, fine => fine.Hazard == Hazard.Frost);
    }

    [Fact]
    public void Work_two_hazards_ask_for_is_one_line_with_the_numbers_of_both()
    {
        Round round = Bench.Round(Summer(Hot), [Bench.Graft("A-1", May.PlusDays(-12))], May);
        Advice shade = Assert.Single(round.Advice, advice => advice.Action == WorkAction.Shade);
        Assert.Equal(["cambium temperature", "daytime dryness at the sealed union"], shade.Reasons.Select(reason => reason.Quantity));
        Assert.Contains("Also against drying: ", shade.Why, StringComparison.Ordinal);
        Assert.All(shade.Reasons, reason => Assert.True(reason.With < reason.Without));
    }

    // At half past four the coldest hour is near: nobody covers before it. The night after can still be won.
    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_frost_that_is_nearly_at_its_coldest_asks_for_work_only_for_the_next_night(bool anotherNight)
    {
        SceneWeather weather = anotherNight ? Spring(April, April.PlusDays(1)) : Spring(April);
        Instant now = April.At(new LocalTime(4, 0)).InZoneLeniently(Bench.North.Zone).ToInstant();
        Round round = Bench.Round(weather, [Vine with { Count = 48 }], April, request => request with { Now = now });
        Advice? cover = round.Advice.SingleOrDefault(advice => advice.Action == WorkAction.FrostCover);
        Assert.Equal(anotherNight, cover is not null);
        if (cover is not null)
        {
            Assert.True(cover.DoBy > now + Duration.FromHours(10), cover.Text);
        }
        else
        {
            Assert.Equal((WorkAction.Know, Level.Act), Assert.Single(round.Advice, advice => advice.Hazard == Hazard.Frost) is var lost ? (lost.Action, lost.Level) : default);
        }
    }

    [Fact]
    public void A_line_for_knowledge_has_no_hour()
    {
        Round round = Bench.Round(
            Spring().On(April.PlusDays(1), FrostNight with { LowC = -8 }), [Bench.Graft("A-1", new(2026, 3, 20), "citrus", Technique.SideVeneer) with { ShootM = 0.1 }], April);
        Advice losses = Assert.Single(round.Advice, advice => advice is { Action: WorkAction.Know, Hazard: Hazard.Frost });
        Assert.Equal(Level.Urgent, losses.Level);
        Assert.Null(losses.DoBy);
    }

    [Fact]
    public void Watering_that_could_not_be_judged_is_not_told_as_drying_unchecked()
    {
        Round round = Bench.Round(Summer(new SceneDay()).Without(WeatherQuantity.PrecipitationMm), [Bench.Graft("A-1", May.PlusDays(-12))], May);
        NotChecked gap = Assert.Single(round.NotChecked);
        Assert.Equal((null, "watering"), (gap.Hazard, gap.Task));
        Assert.False(gap.IsEverything);
        Assert.Contains(round.Fine, fine => fine.Hazard == Hazard.Drying);
    }

    // Without wind the drying power of the air is not known; it is not a calm day's.
    [Fact]
    public void Missing_wind_leaves_drying_unchecked()
    {
        Round round = Bench.Round(Summer(new SceneDay()).Without(WeatherQuantity.WindMPerS), [Bench.Graft("A-1", May.PlusDays(-50)) with { ShootM = 0.3 }], May);
        Assert.Contains(round.NotChecked, gap => gap.Hazard == Hazard.Drying);
        Assert.DoesNotContain(round.Fine, fine => fine.Hazard == Hazard.Drying);
    }

    [Fact]
    public void A_graft_that_was_not_computed_has_no_stage()
    {
        Round round = Bench.Round(
            Summer(new SceneDay()), [Bench.Graft("A-1", May.PlusDays(-12)), Bench.Graft("A-2", May.PlusDays(-12), "no-such-species")], May);
        Assert.Equal("A-1", Assert.Single(round.Stages).Graft);
        Assert.Contains(round.NotChecked, gap => gap is { Graft: "A-2", IsEverything: true });
    }

    // Where a hazard stays over its level, less than a degree is not worth the walk.
    [Fact]
    public void No_remedy_is_asked_for_that_changes_nothing_a_grower_could_read()
    {
        for (int high = 30; high <= 46; high += 2)
        {
            Graft[] grafts = [.. Bench.Handbook.Covers.Keys.Select((cover, i) => Bench.Graft($"K-{i:00}", May.PlusDays(-12)) with { Cover = cover })];
            Round round = Bench.Round(Summer(Hot with { HighC = high, LowC = high - 14 }), grafts, May);
            foreach (Reason reason in round.Advice.Where(advice => advice.Level >= Level.Act).Select(advice => advice.Reasons[0]))
            {
                Assert.False(reason is { Unit: "°C", With: { } with } && with >= reason.Threshold && reason.Without - with < 1, $"{high}: {reason}");
            }
        }
    }

    // The worst day comes second: the first and the third are named each on its side of it.
    [Fact]
    public void Days_before_the_worst_are_needed_already_and_days_after_it_come_too()
    {
        SceneWeather weather = SceneWeather.At(Bench.North, May.PlusDays(-20), 31)
            .On(May, Hot).On(May.PlusDays(1), Hot with { HighC = 37 }).On(May.PlusDays(2), Hot);
        Advice shade = Assert.Single(Bench.Round(weather, [Bench.Graft("A-1", May.PlusDays(-12))], May).Advice, advice => advice.Action == WorkAction.Shade);
        Assert.Contains("; needed already today; also Sun.", shade.Text, StringComparison.Ordinal);
    }

    // A level reached by the dose of a day, with no hour above it, must not be told as an hour above it.
    [Fact]
    public void Heat_that_adds_up_is_told_as_a_dose_and_heat_that_peaks_as_a_peak()
    {
        int doses = 0;
        for (double high = 30; high <= 40; high += 0.5)
        {
            Round round = Bench.Round(Summer(Hot with { HighC = high, LowC = high - 14 }), [Bench.Graft("A-1", May.PlusDays(-50)) with { ShootM = 0.3 }], May);
            foreach (Advice heat in round.Advice.Where(advice => advice.Hazard == Hazard.Heat))
            {
                bool dose = heat.Reasons[0].Without < heat.Reasons[0].Threshold;
                doses += dose ? 1 : 0;
                Assert.Equal(dose, heat.Why.StartsWith("No single hour passes ", StringComparison.Ordinal));
            }
        }

        Assert.True(doses > 0, "No day was hot by its dose alone.");
    }

    // Paint is a layer of the sum like a sleeve, and nobody opens it by day.
    [Fact]
    public void No_remedy_opens_paint_by_day()
    {
        for (int high = 34; high <= 48; high += 2)
        {
            Graft old = Bench.Graft("A-1", May.PlusDays(-300)) with { ShootM = 0.6, Support = ShootSupport.Staked };
            Round round = Bench.Round(SceneWeather.At(Bench.North, May.PlusDays(-320), 331).On(May, Hot with { HighC = high, LowC = high - 14 }), [old, old with { Label = "A-2", Cover = "whitewash" }], May);
            Assert.DoesNotContain(round.Advice, advice => advice.Hazard == Hazard.Heat && (advice.Action == WorkAction.Whitewash || advice.Grafts.Contains("A-2")) && advice.Text.Contains("open", StringComparison.OrdinalIgnoreCase) && !advice.Text.Contains("sleeve", StringComparison.Ordinal));
        }
    }

    // One letter must not put a cover on and take it off.
    [Fact]
    public void No_cover_comes_off_where_shade_goes_on_or_covers_are_opened()
    {
        for (int high = 20; high <= 40; high += 4)
        {
            Graft[] grafts = [.. Bench.Handbook.Covers.Keys.Select((cover, i) => Bench.Graft($"K-{i:00}", May.PlusDays(-30)) with { Cover = cover, ShootM = 0.12, Bbch = 13 })];
            Round round = Bench.Round(Summer(Hot with { HighC = high, LowC = high - 14 }), grafts, May);
            string[] covered = [.. round.Advice.Where(advice => advice.Action is WorkAction.Shade or WorkAction.Vent).SelectMany(advice => advice.Grafts)];
            Assert.DoesNotContain(round.Advice.Where(advice => advice.Action == WorkAction.CoverOff).SelectMany(advice => advice.Grafts), covered.Contains);
            string[] denied = [.. round.Advice.Where(advice => advice.Why.Contains("No cover known", StringComparison.Ordinal)).SelectMany(advice => advice.Grafts)];
            Assert.DoesNotContain(denied, covered.Contains);
        }
    }
}

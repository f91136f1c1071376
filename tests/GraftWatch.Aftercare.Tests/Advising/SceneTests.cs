using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Advising;

/// <summary>Whole rounds, approved as a grower would read them. Each scene says why its advice is right.</summary>
public sealed class SceneTests
{
    private static readonly LocalDate Friday = new(2026, 5, 15);
    private static readonly LocalDate Saturday = new(2026, 5, 16);

    private static readonly SceneDay Mild = new() { RainMm = 4 };
    private static readonly SceneDay Hot = new() { LowC = 16, HighC = 33, DewPointC = 12, NoonSunWPerM2 = 950, CloudFrac = 0, WindMPerS = 1.5 };
    private static readonly SceneDay FrostNight = new() { LowC = -3, HighC = 11, DewPointC = -5, WindMPerS = 0.8, CloudFrac = 0 };
    private static readonly SceneDay Gale = new() { WindMPerS = 9, GustMPerS = 23, CloudFrac = 0.9 };

    private static SceneWeather Weather(LocalDate day, Place? place = null) => SceneWeather.At(place ?? Bench.North, day.PlusDays(-60), 71).Usually(Mild);

    private static void Approve(string name, Round round) => Approved.Text("scene-" + name, RoundPrinter.Print(round));

    private static Observation Seen(string label, LocalDate day, ObservationKind kind, double? value = null, string? words = null) =>
        new(label, Bench.Morning(Bench.North, day), kind, value, words);

    // Bare south-facing apple whips meet 33 °C air: callus is held back above 32 and dies at 40 (Shippy). Shade, and the thin cheap sleeve is enough or not: the numbers decide.
    [Fact]
    public void Heat_on_fresh_apple_whips() => Approve("heat-apple", Bench.Round(
        Weather(Friday).On(Friday, Hot).On(Saturday, Hot),
        [Bench.Graft("B-1", Friday.PlusDays(-12)) with { Count = 4, Row = "2" }, Bench.Graft("B-2", Friday.PlusDays(-12)) with { Count = 3, Row = "2" }, Bench.Graft("B-3", Friday.PlusDays(-12)) with { AspectDeg = 0, Row = "2" }],
        Friday));

    // Foil already on: the same heat must not ask for foil again.
    [Fact]
    public void Heat_where_foil_is_already_on() => Approve("heat-foil-on", Bench.Round(
        Weather(Friday).On(Friday, Hot), [Bench.Graft("B-1", Friday.PlusDays(-12)) with { Cover = "foil" }], Friday));

    // Clear film in sun overheats (Weschcke; over 40 °C at noon): shade it or open it by day, whichever the numbers favour. Opening alone leaves the stem in the sun too warm here, foil over the film does not.
    [Fact]
    public void Film_in_the_sun() => Approve("film-in-sun", Bench.Round(
        Weather(Friday).On(Friday, Hot with { HighC = 28 }),
        [Bench.Graft("C-1", Friday.PlusDays(-20), "avocado", Technique.SideVeneer) with { Cover = "film", Block = "C", Bbch = 10 }],
        Friday));

    // Green shoots near -1 die (FAO); fleece adds 1 to 2 K: covered before dusk, the dormant hardy graft beside it left alone.
    [Fact]
    public void Frost_on_shoots_and_buds() => Approve("frost-shoots", Bench.Round(
        Weather(new(2026, 4, 24)).On(new(2026, 4, 25), FrostNight with { LowC = -1 }),
        [
            Bench.Graft("A-1", new(2026, 3, 20), "grape", Technique.Cleft) with { ShootM = 0.08, Bbch = 12, Block = "A" },
            Bench.Graft("A-2", new(2026, 3, 28)) with { Bbch = 7, Block = "A" },
            Bench.Graft("A-3", new(2026, 4, 20)) with { Block = "A" },
        ],
        new(2026, 4, 24)));

    // A hard frost no cover can stop: said plainly, with scion wood in mind.
    [Fact]
    public void Frost_too_hard_for_covers() => Approve("frost-hard", Bench.Round(
        Weather(new(2026, 4, 24)).On(new(2026, 4, 25), FrostNight with { LowC = -8 }),
        [Bench.Graft("A-1", new(2026, 3, 20), "citrus", Technique.SideVeneer) with { ShootM = 0.1 }],
        new(2026, 4, 24)));

    // A gale on 40 cm shoots of a young union: tie or stake before it, least work first (Beaufort 8; stake below a safety of 2).
    [Fact]
    public void Gale_on_free_shoots() => Approve("gale", Bench.Round(
        Weather(Friday).On(Saturday, Gale),
        [
            Bench.Graft("D-1", Friday.PlusDays(-50), "pecan", Technique.Bark) with { ShootM = 0.5, DiameterM = 0.05, HeightM = 1.4, Block = "D", Tie = "nails" },
            Bench.Graft("D-2", Friday.PlusDays(-50)) with { ShootM = 0.4, Support = ShootSupport.Staked, Block = "D", Tie = "none" },
            Bench.Graft("D-3", Friday.PlusDays(-12)) with { Cover = "paper", Block = "D" },
        ],
        Friday));

    // A topped vine on warm wet soil bleeds (starts near 10 °C at 25 cm): relief cuts. The apple beside it never bleeds and gets none.
    [Fact]
    public void Sap_in_a_topped_vine() => Approve("sap-vine", Bench.Round(
        Weather(Friday).On(Friday.PlusDays(-1), Mild with { RainMm = 18 }),
        [Bench.Graft("E-1", Friday.PlusDays(-8), "grape", Technique.Cleft) with { Block = "E", DiameterM = 0.03 }, Bench.Graft("E-2", Friday.PlusDays(-8), "apple", Technique.Cleft) with { Block = "E", DiameterM = 0.03 }],
        Friday));

    // Foehn: dry, warm wind on an unwaxed and on a waxed union: only the unwaxed one is sealed.
    [Fact]
    public void Dry_wind_on_an_unsealed_union() => Approve("dry-wind", Bench.Round(
        Weather(Friday).On(Friday, Mild with { HighC = 25, DewPointC = 0, WindMPerS = 7, CloudFrac = 0.6 }),
        [Bench.Graft("F-1", Friday.PlusDays(-6)) with { Seal = "none" }, Bench.Graft("F-2", Friday.PlusDays(-6))],
        Friday));

    // A walnut in a cool week cannot heal (near nothing at 15 °C): for knowledge, and no foil.
    [Fact]
    public void Walnut_too_cold_to_heal() => Approve("cold-stall", Bench.Round(
        Weather(Saturday).Usually(Mild with { HighC = 13, LowC = 4 }), [Bench.Graft("G-1", Saturday.PlusDays(-15), "walnut", Technique.WhipAndTongue)], Saturday));

    // 40 mm of rain on a film-wrapped young union: let the water out.
    [Fact]
    public void Rain_behind_film() => Approve("rain-film", Bench.Round(
        Weather(Friday).On(Saturday, Mild with { RainMm = 40 }), [Bench.Graft("H-1", Friday.PlusDays(-10), "apple", Technique.Bark) with { Cover = "film", DiameterM = 0.05 }], Friday));

    // Nothing wrong and nothing due: one honest line, and what was checked.
    [Fact]
    public void Quiet_day() => Approve("quiet", Bench.Round(Weather(new(2026, 5, 19)), [Bench.Graft("B-1", new(2026, 5, 5))], new(2026, 5, 19)));

    // The day of grafting: nothing but what the weather asks.
    [Fact]
    public void First_day() => Approve("first-day", Bench.Round(Weather(Friday), [Bench.Graft("B-1", Friday)], Friday));

    // Days 2 to 4: the first look.
    [Fact]
    public void First_look() => Approve("first-look", Bench.Round(Weather(new(2026, 5, 20)), [Bench.Graft("B-1", new(2026, 5, 17))], new(2026, 5, 20)));

    // A hot spell begins on the day the cover should come off: leave it, and say why.
    [Fact]
    public void Cover_due_off_but_heat_ahead() => Approve("cover-off-waits", Bench.Round(
        Weather(Saturday).On(new(2026, 5, 17), Hot).On(new(2026, 5, 18), Hot),
        [Bench.Graft("B-1", Saturday.PlusDays(-30)) with { Cover = "foil", CoverVented = true, ShootM = 0.12, Bbch = 13 }], Saturday));

    // The same cover in mild weather comes off in steps.
    [Fact]
    public void Cover_due_off_in_mild_weather() => Approve("cover-off", Bench.Round(
        Weather(Saturday).Usually(Mild with { CloudFrac = 0.7 }), [Bench.Graft("B-1", Saturday.PlusDays(-30)) with { Cover = "foil", CoverVented = true, ShootM = 0.12, Bbch = 13 }], Saturday));

    // Bark bared two days ago meets full sun and warm air: cloth, not a closed sleeve.
    [Fact]
    public void Sun_on_bark_bared_two_days_ago() => Approve("sun-bared", Bench.Round(
        Weather(Friday).On(Friday, Mild with { HighC = 27, LowC = 13, CloudFrac = 0, NoonSunWPerM2 = 950 }),
        [Bench.Graft("B-1", Friday.PlusDays(-35)) with { Cover = "foil", ShootM = 0.12, Bbch = 13, AspectDeg = 200 }],
        Friday,
        request => request with { Observations = [Seen("B-1", Friday.PlusDays(-2), ObservationKind.CoverOff)] }));

    // Visit day in the sixth week of every technique: which ties, checks and heading back are due where.
    [Fact]
    public void Every_technique_in_its_sixth_week() => Approve("techniques-week-six", Bench.Round(
        Weather(Saturday),
        [
            .. Enum.GetValues<Technique>().Select((technique, i) => Bench.Graft($"T-{i:00}", Saturday.PlusDays(-40), "apple", technique) with
            {
                DiameterM = technique is Technique.Cleft or Technique.Bark or Technique.Inlay ? 0.05 : 0.014,
                Tie = technique is Technique.Cleft or Technique.Bark ? "raffia" : "budding-strip",
                NurseBuds = technique is Technique.ChipBud or Technique.TBud ? 2 : 0,
            }),
        ],
        Saturday));

    // Bleeding and slow kinds in the sixth week: take checks come later for nuts, persimmon and fig.
    [Fact]
    public void Kinds_that_take_their_time() => Approve("species-week-six", Bench.Round(
        Weather(Saturday).Usually(Mild with { HighC = 22, LowC = 12 }),
        [.. new[] { "walnut", "persimmon", "fig", "mulberry", "pear", "peach" }.Select((species, i) => Bench.Graft($"S-{i}", Saturday.PlusDays(-40), species, Technique.WhipAndTongue) with { Tie = "rubber" })],
        Saturday));

    // Citrus T-buds are unwrapped after two to three weeks (Florida), then lopped, not beheaded.
    [Fact]
    public void Citrus_T_buds_in_their_third_week() => Approve("citrus-t-bud", Bench.Round(
        Weather(Saturday).Usually(Mild with { HighC = 27, LowC = 16, DewPointC = 14 }),
        [Bench.Graft("C-1", Saturday.PlusDays(-22), "citrus", Technique.TBud) with { NurseBuds = 3, Seal = "tape" }], Saturday));

    // A tie the grower saw cutting in comes before everything.
    [Fact]
    public void A_tie_that_cuts_in() => Approve("tie-grooved", Bench.Round(
        Weather(Friday), [Bench.Graft("B-1", Friday.PlusDays(-30), "plum") with { ShootM = 0.25, Tie = "twine" }], Friday,
        request => request with { Observations = [Seen("B-1", Friday.PlusDays(-1), ObservationKind.TieGrooved)] }));

    // A failed graft leaves the round; in May stored wood still takes while bark slips.
    [Fact]
    public void A_failed_graft() => Approve("failed", Bench.Round(
        Weather(Saturday), [Bench.Graft("B-1", Saturday.PlusDays(-45)), Bench.Graft("B-2", Saturday.PlusDays(-45)) with { ShootM = 0.3, Tie = "none", Support = ShootSupport.Staked }], Saturday,
        request => request with { Observations = [Seen("B-1", Saturday.PlusDays(-1), ObservationKind.Dead)] }));

    // Autumn of the first year: unripe wood and the first frost; whitewash and guards on their months.
    [Fact]
    public void First_autumn() => Approve("first-autumn", Bench.Round(
        Weather(new(2026, 10, 17)).On(new(2026, 10, 18), FrostNight with { LowC = -2.5, HighC = 9 }),
        [Bench.Graft("B-1", new(2026, 4, 10)) with { ShootM = 0.7, Tie = "none", Support = ShootSupport.Staked }], new(2026, 10, 17)));

    // November: guard and whitewash; a low union of a tender kind is mounded.
    [Fact]
    public void Before_winter() => Approve("before-winter", Bench.Round(
        Weather(new(2026, 11, 7)).Usually(Mild with { HighC = 9, LowC = 3 }),
        [Bench.Graft("B-1", new(2026, 4, 10)) with { ShootM = 0.7, Tie = "none" }, Bench.Graft("B-2", new(2026, 4, 10), "fig") with { ShootM = 0.9, Tie = "none", HeightM = 0.25 }], new(2026, 11, 7)));

    // Late winter: buds set in August are forced now; nurse buds stay until the scion has grown.
    [Fact]
    public void Summer_buds_in_late_winter() => Approve("summer-bud-forced", Bench.Round(
        Weather(new(2027, 2, 27)).Usually(Mild with { HighC = 8, LowC = 1, DewPointC = 0 }),
        [Bench.Graft("B-1", new(2026, 8, 10), "apple", Technique.ChipBud) with { Tie = "none", NurseBuds = 3 }], new(2027, 2, 27)));

    // Second summer: look at the union; incompatibility shows late (Maryland Extension).
    [Fact]
    public void Second_summer() => Approve("second-summer", Bench.Round(
        Weather(new(2027, 7, 10)).Usually(Mild with { HighC = 24, LowC = 13 }),
        [Bench.Graft("B-1", new(2026, 4, 10)) with { ShootM = 1.3, Tie = "none", Support = ShootSupport.Staked }], new(2027, 7, 10)));

    // After two years the record is closed.
    [Fact]
    public void Two_years_on() => Approve("two-years", Bench.Round(
        Weather(new(2028, 4, 22)), [Bench.Graft("B-1", new(2026, 4, 18)) with { ShootM = 1.8, Tie = "none" }], new(2028, 4, 22)));

    // South of the equator October is spring: the same heat, the same work, blossom months shifted.
    [Fact]
    public void Spring_in_the_south() => Approve("south", Bench.Round(
        Weather(new(2026, 11, 14), Bench.South).On(new(2026, 11, 14), Hot),
        [Bench.Graft("S-1", new(2026, 11, 1)) with { AspectDeg = 0 }, Bench.Graft("S-2", new(2026, 11, 1)) with { AspectDeg = 180 }], new(2026, 11, 14)));

    // All covers side by side in heat: which still need help, which must be opened.
    [Fact]
    public void Every_cover_in_heat() => Approve("all-covers", Bench.Round(
        Weather(Friday).On(Friday, Hot),
        [.. Bench.Handbook.Covers.Keys.Select((cover, i) => Bench.Graft($"K-{i:00}", Friday.PlusDays(-12)) with { Cover = cover, Notes = cover })], Friday));

    // The source gives no rain: sap and soil water are not checked, and the letter says so once.
    [Fact]
    public void No_rain_in_the_source() => Approve("no-rain", Bench.Round(
        Weather(Friday).Without(WeatherQuantity.PrecipitationMm),
        [Bench.Graft("E-1", Friday.PlusDays(-8), "grape", Technique.Cleft), Bench.Graft("E-2", Friday.PlusDays(-8))], Friday));

    // US units: the same scene in °F, mph and inches.
    [Fact]
    public void Heat_in_us_units() => Approve("heat-us", Bench.Round(
        Weather(Friday).On(Friday, Hot).On(Saturday, Gale), [Bench.Graft("B-1", Friday.PlusDays(-12)), Bench.Graft("B-2", Friday.PlusDays(-55)) with { ShootM = 0.5, Tie = "none" }], Friday,
        request => request with { Units = UnitSystem.UnitedStates }));

    // Said yesterday, still open: it says so and shouts no louder; what was put off stays silent, what is done is done.
    [Fact]
    public void Still_open_put_off_and_done() => Approve("said-before", Bench.Round(
        Weather(Friday).On(Friday, Hot),
        [Bench.Graft("B-1", Friday.PlusDays(-12)), Bench.Graft("B-2", Friday.PlusDays(-12)) with { AspectDeg = 225 }, Bench.Graft("B-3", Friday.PlusDays(-12)) with { AspectDeg = 135 }],
        Friday,
        request => request with
        {
            Said =
            [
                new SaidBefore(WorkAction.Shade, Hazard.Heat, "B-1", Friday.PlusDays(-1), Level.Urgent, SaidState.Open),
                new SaidBefore(WorkAction.Shade, Hazard.Heat, "B-2", Friday.PlusDays(-1), Level.Urgent, SaidState.PutOff, Friday.PlusDays(2)),
                new SaidBefore(WorkAction.Shade, Hazard.Heat, "B-3", Friday.PlusDays(-1), Level.Urgent, SaidState.Done, null, Friday.PlusDays(-1)),
            ],
        }));
}

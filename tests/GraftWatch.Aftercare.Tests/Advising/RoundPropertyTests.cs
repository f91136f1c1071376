using CsCheck;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Remedies;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Advising;

public sealed class RoundPropertyTests
{
    private static readonly LocalDate Day = new(2026, 5, 15);

    private static readonly Gen<Graft> AnyGraft = Gen.Select(
        Gen.OneOfConst([.. Bench.Handbook.Species.Keys]),
        Gen.OneOfConst(Enum.GetValues<Technique>()),
        Gen.OneOfConst([.. Bench.Handbook.Covers.Keys]),
        Gen.OneOfConst([.. Bench.Handbook.Ties.Keys]),
        Gen.Int[0, 60],
        Gen.Int[0, 7],
        Gen.Int[0, 70])
        .Select((species, technique, cover, tie, age, sector, shoot) => Bench.Graft("x", Day.PlusDays(-age), species, technique) with
        {
            Cover = cover,
            Tie = tie,
            AspectDeg = 45 * sector,
            ShootM = shoot < 20 ? null : shoot / 100.0,
            NurseBuds = sector % 3,
        });

    private static Graft[] Labelled(Graft[] grafts) => [.. grafts.Select((graft, i) => graft with { Label = $"G{i:000}" })];

    private static SceneWeather Weather(double highC, double lowC = 12, double gust = 8) => SceneWeather.At(Bench.North, Day.PlusDays(-40), 51)
        .Usually(new SceneDay { RainMm = 3 })
        .On(Day, new SceneDay { HighC = highC, LowC = lowC, DewPointC = Math.Min(10, lowC), CloudFrac = 0, NoonSunWPerM2 = 900, GustMPerS = gust });

    private static string Lines(Round round) => string.Join('\n', round.Advice.Select(a => $"{a.Level} {a.Action} {a.Hazard} {a.Text} {string.Join(' ', a.Grafts.Order(StringComparer.Ordinal))}").Order(StringComparer.Ordinal));

    // The register's order is the walking order: it may change where a line names its first graft, never what is advised.
    [Fact]
    public void Order_of_the_register_never_changes_the_advice() => Gen.Select(AnyGraft.Array[2, 8], Gen.Double[15, 38]).Sample(
        (grafts, high) =>
        {
            Graft[] register = Labelled(grafts);
            SceneWeather weather = Weather(high);
            HourlyWeather hours = weather.Build();
            string forward = Lines(Bench.Round(Bench.North, hours, register, Day));
            string backward = Lines(Bench.Round(Bench.North, hours, [.. register.Reverse()], Day));
            Assert.Equal(forward, backward);
        },
        iter: 25, threads: 1);

    [Fact]
    public void The_same_day_twice_gives_the_same_round() => AnyGraft.Array[1, 5].Sample(
        grafts =>
        {
            Graft[] register = Labelled(grafts);
            HourlyWeather hours = Weather(31).Build();
            Assert.Equal(RoundPrinter.Print(Bench.Round(Bench.North, hours, register, Day)), RoundPrinter.Print(Bench.Round(Bench.North, hours, register, Day)));
        },
        iter: 15, threads: 1);

    [Fact]
    public void Hotter_is_never_less_urgent() => Gen.Select(AnyGraft, Gen.Double[18, 36], Gen.Double[0.5, 6]).Sample(
        (graft, high, more) => Assert.True(
            HeatLevel(graft, high + more) >= HeatLevel(graft, high), $"{graft.Species} {graft.Cover} {graft.AspectDeg} at {high} and {high + more}"),
        iter: 40, threads: 1);

    [Fact]
    public void Colder_is_never_less_urgent() => Gen.Select(AnyGraft, Gen.Double[-8, 4], Gen.Double[0.5, 5]).Sample(
        (graft, low, less) => Assert.True(LevelOf(graft, Weather(14, low - less), Hazard.Frost) >= LevelOf(graft, Weather(14, low), Hazard.Frost), $"{graft.Species} at {low}"),
        iter: 40, threads: 1);

    [Fact]
    public void A_stronger_gust_is_never_less_urgent() => Gen.Select(AnyGraft, Gen.Double[4, 30], Gen.Double[0.5, 10]).Sample(
        (graft, gust, more) => Assert.True(LevelOf(graft, Weather(20, 10, gust + more), Hazard.Wind) >= LevelOf(graft, Weather(20, 10, gust), Hazard.Wind)),
        iter: 40, threads: 1);

    // A remedy may not raise the hazard it is meant for, nor bring another to its act level.
    [Fact]
    public void A_chosen_remedy_never_raises_its_own_hazard_or_calls_up_another() => Gen.Select(AnyGraft, Gen.Double[-6, 12], Gen.Double[14, 38], Gen.Double[4, 28]).Sample(
        (graft, low, high, gust) =>
        {
            SceneWeather weather = Weather(high, low, gust);
            (HazardDesk desk, UnionCase union, int limit) = CaseOf(graft, weather);
            var chooser = new RemedyChooser(desk);
            foreach (HazardOutcome outcome in desk.Judge(union))
            {
                if (outcome.LevelBefore(limit) < Level.Act || chooser.Choose(union, outcome, new HourRange(0, limit)).Remedy is not { } remedy)
                {
                    continue;
                }

                foreach (HazardOutcome after in desk.Judge(remedy.After))
                {
                    Level before = desk.Judge(union, after.Hazard)?.LevelBefore(limit) ?? Level.None;
                    Level now = after.LevelBefore(limit);
                    bool sleeveInWind = after.Hazard == Hazard.Wind && after.Part == "cover";
                    Assert.True(now <= before || (after.Hazard != outcome.Hazard && (now < Level.Act || sleeveInWind)), $"{outcome.Hazard}: {remedy.Action} {remedy.Material} raises {after.Hazard}");
                }
            }
        },
        iter: 40, threads: 1);

    [Fact]
    public void No_relief_cuts_for_kinds_that_do_not_bleed() => AnyGraft.Array[1, 8].Sample(
        grafts =>
        {
            Graft[] register = Labelled(grafts);
            Round round = Bench.Round(Weather(22), register, Day);
            foreach (Advice advice in round.Advice.Where(advice => advice.Action == WorkAction.Relieve))
            {
                Assert.All(advice.Grafts, label => Assert.True(
                    Bench.Handbook.Species[register.Single(graft => graft.Label == label).Species].Bleeding >= Aftercare.Trade.BleedClass.Moderate));
            }
        },
        iter: 20, threads: 1);

    [Fact]
    public void A_union_is_named_at_most_once_for_each_kind_of_work() => Gen.Select(AnyGraft.Array[1, 8], Gen.Double[10, 38], Gen.Double[-5, 10]).Sample(
        (grafts, high, low) =>
        {
            Round round = Bench.Round(Weather(Math.Max(high, low + 2), low, 20), Labelled(grafts), Day);
            var said = round.Advice
                .Where(advice => advice.Action is not (WorkAction.Know or WorkAction.Look or WorkAction.Wait))
                .SelectMany(advice => advice.Grafts.Select(graft => (graft, advice.Action)))
                .ToList();
            Assert.Equal(said.Count, said.Distinct().Count());
        },
        iter: 25, threads: 1);

    [Fact]
    public void Every_hazard_is_fine_advised_or_not_checked_and_no_graft_fails() => AnyGraft.Array[1, 10].Sample(
        grafts =>
        {
            Round round = Bench.Round(Weather(30), Labelled(grafts), Day);
            Assert.DoesNotContain(round.NotChecked, gap => gap.Why.Contains("failed", StringComparison.Ordinal));
            Assert.Equal(grafts.Length, round.Stages.Count);
        },
        iter: 25, threads: 1);

    private static Level HeatLevel(Graft graft, double high) => LevelOf(graft, Weather(high), Hazard.Heat);

    private static Level LevelOf(Graft graft, SceneWeather weather, Hazard hazard)
    {
        // Stage and season are held so that only the hours ahead differ.
        (HazardDesk desk, UnionCase union, int limit) = CaseOf(graft, weather);
        return desk.Judge(union with { Stage = Stage.Knit }, hazard)?.LevelBefore(limit) ?? Level.None;
    }

    private static (HazardDesk Desk, UnionCase Union, int Limit) CaseOf(Graft graft, SceneWeather weather)
    {
        HourlyWeather hours = weather.Build();
        Instant now = Bench.Morning(Bench.North, Day);
        var request = new RoundRequest
        {
            Date = Day,
            Now = now,
            Grower = "x",
            Places = [],
            Grafts = [],
            Handbook = Bench.Handbook,
        };
        var climate = new PlaceClimate(Bench.North, hours, now);
        GraftView view = new GraftReader(request).Read(graft with { Place = Bench.North.Name }, 0, climate);
        return (new HazardDesk(Bench.Handbook), view.Case, climate.FirstAhead + 72);
    }
}

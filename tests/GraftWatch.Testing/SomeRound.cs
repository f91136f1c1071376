using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Testing;

/// <summary>Invented values for tests that need a whole thing and care about one part of it.</summary>
public static class Some
{
    /// <summary>Zone of the invented nursery.</summary>
    public static readonly DateTimeZone Zone = DateTimeZoneProviders.Tzdb["Europe/Berlin"];

    /// <summary>A Thursday in May.</summary>
    public static readonly LocalDate Day = new(2026, 5, 14);

    /// <summary>Six in the morning of that day, local time.</summary>
    public static readonly Instant Morning = Local(6, 0);

    /// <summary>The invented nursery.</summary>
    public static Place Place(string name = "Larkhollow") =>
        new(name, new Site { LatitudeDeg = 50.1, LongitudeDeg = 8.6, ElevationM = 180 }, Zone);

    /// <summary>The invented grower.</summary>
    public static Grower Grower(string name = "Mara Quill", string address = "mara@grower.example") =>
        new(name, address, Zone, new LocalTime(6, 30), UnitSystem.Metric, ["Larkhollow"]);

    /// <summary>Local clock time on <see cref="Day"/> or a day after it.</summary>
    public static Instant Local(int hour, int minute = 0, int daysLater = 0) =>
        Day.PlusDays(daysLater).At(new LocalTime(hour, minute)).InZoneStrictly(Zone).ToInstant();

    /// <summary>A full day: urgent shade, stakes for a gale, ties to slit, a note; stages, fine hazards and a gap.</summary>
    public static Round Round() => new()
    {
        Date = Day,
        Now = Morning,
        Grower = "Mara Quill",
        Units = UnitSystem.Metric,
        Places = [new RoundPlace(Place(), Forecast())],
        Advice = [Shade(), Stake(), SlitTies(), Note()],
        Stages =
        [
            new("B2-01", Stage.Callus, 9.4, Stage.Knit, new(2026, 5, 17), new(2026, 5, 18), new(2026, 5, 20)),
            new("B2-02", Stage.Callus, 9.4, Stage.Knit, new(2026, 5, 17), new(2026, 5, 18), new(2026, 5, 20)),
            new("B2-03", Stage.Callus, 9.4, Stage.Knit, new(2026, 5, 17), new(2026, 5, 18), new(2026, 5, 20)),
            new("A1-04", Stage.Run, 41.0, Stage.Ripen, new(2026, 6, 9), new(2026, 6, 14), new(2026, 6, 21)),
            new("A1-05", Stage.Push, double.NaN, Stage.Run, null, null, null),
            new("C3-11", Stage.Established, 160, null, null, null, null),
        ],
        Fine =
        [
            new(Hazard.Frost, "tissue temperature", "°C", 3.2, "A1-04", Local(5, 0, 1)),
            new(Hazard.Sap, "sap index", "-", 0.31, "C3-02", Local(14)),
            new(Hazard.Drying, "vapour pressure deficit at the union", "kPa", 1.42, "B2-01", Local(16)),
        ],
        NotChecked = [new("C3-02", Hazard.Wind, "the forecast has no gusts after Sat 16 May, 18:00")],
        Assumed = ["B2-01: height of the union taken as 0.4 m.", "Larkhollow: sheltered by a hedge, taken as 0.7 of the open wind."],
    };

    /// <summary>A day on which everything was checked and is fine.</summary>
    public static Round QuietRound() => Round() with { Advice = [], NotChecked = [], Assumed = [] };

    /// <summary>A planned grafting with good days, poor days and days that cannot be judged.</summary>
    public static GraftingOutlook Planned() => new(
        "Larkhollow", "sweet-cherry", Technique.ChipBud,
        [
            new(Day, 0.6, ["wind"]),
            new(Day.PlusDays(1), 1, []),
            new(Day.PlusDays(2), 1, []),
            new(Day.PlusDays(3), 1, []),
            new(Day.PlusDays(4), 0, ["rain on the day or the next", "wind"]),
            new(Day.PlusDays(5), 1, []),
            new(Day.PlusDays(6), 0, ["rain on the day or the next"]),
            new(Day.PlusDays(7), double.NaN, ["wind", "dry air while you work not known"]),
            new(Day.PlusDays(8), double.NaN, ["the forecast ends too soon after"]),
            new(Day.PlusDays(9), double.NaN, ["the forecast ends too soon after"]),
            new(Day.PlusDays(10), double.NaN, ["the forecast ends too soon after"]),
        ],
        "sound and turgid; the bark need not slip", "dormant in spring, a mature bud in late summer", "Good days.");

    /// <summary>A planned grafting of which nothing can be said.</summary>
    public static GraftingOutlook PlannedWithoutWeather() => new(
        "Hill", "apple", Technique.WhipAndTongue, [], "dormant to just moving", "dormant, kept cold",
        "No day for a whip-and-tongue graft of apple could be judged, because there is no weather for Hill.");

    /// <summary>A day on which the weather could not be had.</summary>
    public static Round BrokenRound() => Round() with
    {
        Advice = [],
        Fine = [],
        NotChecked =
        [
            new("B2-01", null, "the weather of Larkhollow could not be had (no answer within 10 s)"),
            new("B2-02", null, "the weather of Larkhollow could not be had (no answer within 10 s)"),
            new("A1-04", null, "the weather of Larkhollow could not be had (no answer within 10 s)"),
        ],
        Places = [new RoundPlace(Place(), Forecast() with { Source = string.Empty, Credit = string.Empty, IssuedAt = null })],
    };

    /// <summary>Where the invented weather came from.</summary>
    public static ForecastInfo Forecast() => new(
        "Sample weather", "Weather: invented sample, made for tests.", Local(5, 10), Local(0), Local(0, 0, 9),
        ["Gusts are missing from Sat 16 May, 18:00 on."]);

    /// <summary>Five days at one union: warm afternoons, a frost night and a windy evening, made of cosines.</summary>
    public static UnionOutlook Outlook()
    {
        Instant[] at = [.. Enumerable.Range(0, 121).Select(h => Local(0) + Duration.FromHours(h))];
        double Day(int hour, double share) => (12 + (hour / 24 % 2 * 3)) + (share * Math.Max(-8, (29 - (hour / 24 * 4)) * Math.Cos((hour - 15) * Math.PI / 12)));
        return new UnionOutlook
        {
            Graft = "B2-01",
            Place = "Larkhollow",
            At = at,
            WithoutC = [.. at.Select((_, h) => Day(h, 1))],
            WithC = [.. at.Select((_, h) => Day(h, 0.75))],
            Remedy = "padded paper",
            HeatLevelC = 38,
            Marks = [.. new[] { 76, 77, 78 }.Select(h => new OutlookMark(at[h], Hazard.Frost)), .. new[] { 42, 43, 44, 45 }.Select(h => new OutlookMark(at[h], Hazard.Wind))],
        };
    }

    /// <summary>Shade against heat, urgent.</summary>
    public static Advice Shade() => new()
    {
        Id = "shade-b2",
        Action = WorkAction.Shade,
        Hazard = Hazard.Heat,
        Level = Level.Urgent,
        Grafts = ["B2-01", "B2-02", "B2-03", "B2-04", "B2-05", "B2-07", "B2-09"],
        Where = "Block B, row 2",
        Unions = 7,
        DoBy = Local(11),
        Reasons = [new("cambium temperature", "°C", Local(15), 41.24, 34.83, 38)],
        Probability = 0.8,
        Materials = ["7 padded paper sleeves", "14 ties"],
        Minutes = 28,
        Text = "Put padded paper sleeves on 7 unions in block B, row 2, before 11:00.",
        Why = "Afternoon sun on the south-west side heats the young callus beyond what it stands.",
        Cautions = ["Keep ladders away from soft ground after rain."],
        Place = "Larkhollow",
    };

    /// <summary>Stake against a gale tomorrow.</summary>
    public static Advice Stake() => new()
    {
        Id = "stake-a1",
        Action = WorkAction.Stake,
        Hazard = Hazard.Wind,
        Level = Level.Act,
        Grafts = ["A1-04", "A1-05", "A1-08"],
        Where = "Block A, row 1",
        Unions = 3,
        DoFrom = Local(9),
        DoBy = Local(18),
        Reasons =
        [
            new("gust at the shoot", "m/s", Local(4, 0, 1), 17.2, null, 14),
            new("bending moment at the union", "N·m", Local(4, 0, 1), 1.9, 0.4, 1.2),
        ],
        Materials = ["3 stakes", "soft twine"],
        Minutes = 15,
        Text = "Stake the shoots of 3 unions in block A, row 1, before tonight's wind.",
        Why = "Gusts in the night bend the untied shoots more than the unions hold at this stage.",
        Cautions = ["Cut towards nobody and away from your hand."],
        OpenSince = new(2026, 5, 12),
        Place = "Larkhollow",
    };

    /// <summary>Dated work.</summary>
    public static Advice SlitTies() => new()
    {
        Id = "slit-tie-c3",
        Action = WorkAction.SlitTie,
        Level = Level.Act,
        Grafts = ["C3-02", "C3-03"],
        Where = "Block C, row 3",
        Unions = 5,
        DoBy = Local(0, 0, 4),
        Reasons = [],
        Materials = ["grafting knife"],
        Minutes = 5,
        Text = "Slit the ties of 5 unions in block C, row 3, by Sunday.",
        Why = "Five weeks after grafting the bark swells; a tie left whole cuts in (common practice).",
        Cautions = ["Cut towards nobody and away from your hand."],
        Place = "Larkhollow",
    };

    /// <summary>For knowledge only.</summary>
    public static Advice Note() => new()
    {
        Id = "know-cold",
        Action = WorkAction.Know,
        Hazard = Hazard.ColdStall,
        Level = Level.Note,
        Grafts = ["A1-04"],
        Where = "Block A, row 1",
        Unions = 1,
        Reasons = [new("mean cambium temperature of the day", "°C", Local(0, 0, 3), 7.9, null, 8)],
        Text = "Healing all but stops on Saturday; nothing to do.",
        Why = "The day stays below the temperature at which callus grows.",
        Place = "Larkhollow",
    };
}

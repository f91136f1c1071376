using System.Diagnostics;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Letters.Outline;

namespace GraftWatch.Letters.Wording;

/// <summary>The letter's words for closed lists.</summary>
internal static class Words
{
    /// <summary>How pressing, in the grower's words.</summary>
    public static string Of(Pressing pressing) => pressing switch
    {
        Pressing.Urgent => "Urgent",
        Pressing.Today => "Today",
        Pressing.Soon => "Due soon",
        Pressing.Know => "Worth knowing",
        _ => throw new UnreachableException(),
    };

    /// <summary>The same behind a number.</summary>
    public static string Counted(Pressing pressing) => pressing switch
    {
        Pressing.Urgent => "urgent",
        Pressing.Today => "for today",
        Pressing.Soon => "due soon",
        Pressing.Know => "worth knowing",
        _ => throw new UnreachableException(),
    };

    /// <summary>The step of a level behind its number: " (urgent)"; empty when not told.</summary>
    public static string Step(Level? step) => step switch
    {
        Level.Urgent => " (urgent)",
        Level.Act => " (work)",
        Level.Note => " (note)",
        _ => string.Empty,
    };

    /// <summary>Name of a hazard at the head of a line.</summary>
    public static string Of(Hazard hazard) => hazard switch
    {
        Hazard.Heat => "Heat",
        Hazard.Sun => "Sun",
        Hazard.Drying => "Drying",
        Hazard.Sap => "Sap",
        Hazard.Wind => "Wind",
        Hazard.Frost => "Frost",
        Hazard.Wet => "Wet",
        Hazard.ColdStall => "Cold",
        _ => throw new UnreachableException(),
    };

    /// <summary>Name of a stage.</summary>
    public static string Of(Stage stage) => stage switch
    {
        Stage.Set => "set",
        Stage.Callus => "callus",
        Stage.Knit => "knit",
        Stage.Push => "push",
        Stage.Run => "run",
        Stage.Ripen => "ripen",
        Stage.Established => "established",
        Stage.Failed => "failed",
        _ => throw new UnreachableException(),
    };

    /// <summary>Work with a number, as the subject and short messages say it; null for lines that ask for no work.</summary>
    public static string? Work(WorkAction action, int unions)
    {
        string n = Numbers.Count(unions, "union", "unions");
        return action switch
        {
            WorkAction.Shade => $"shade {n}",
            WorkAction.Vent => $"vent {Numbers.Count(unions, "cover", "covers")}",
            WorkAction.CloseCover => $"close {Numbers.Count(unions, "cover", "covers")}",
            WorkAction.CoverOff => $"uncover {n}",
            WorkAction.FrostCover => $"cover {n} against frost",
            WorkAction.FrostCoverOff => $"take {Numbers.Count(unions, "frost cover", "frost covers")} off",
            WorkAction.Reseal => $"reseal {n}",
            WorkAction.Water => $"water {Numbers.Count(unions, "stock", "stocks")}",
            WorkAction.Relieve => $"cut relief at {n}",
            WorkAction.Stake => $"stake {Numbers.Count(unions, "shoot", "shoots")}",
            WorkAction.TieIn => $"tie in {Numbers.Count(unions, "shoot", "shoots")}",
            WorkAction.Pinch => $"pinch {Numbers.Count(unions, "shoot", "shoots")}",
            WorkAction.Look => $"look at {n}",
            WorkAction.SlitTie => $"slit {Numbers.Count(unions, "tie", "ties")}",
            WorkAction.TieOff => $"take {Numbers.Count(unions, "tie", "ties")} off",
            WorkAction.FilmOff => $"open film on {n}",
            WorkAction.RubOff => $"rub stock shoots off {n}",
            WorkAction.HeadBack => $"head back {Numbers.Count(unions, "stock", "stocks")}",
            WorkAction.ChooseShoot => $"choose shoots on {n}",
            WorkAction.FruitOff => $"take fruit off {n}",
            WorkAction.TakeCheck => $"check take of {n}",
            WorkAction.Regraft => $"regraft {n}",
            WorkAction.Pests => $"look for pests on {n}",
            WorkAction.Weed => $"weed around {Numbers.Count(unions, "stock", "stocks")}",
            WorkAction.Feed => $"feed {Numbers.Count(unions, "stock", "stocks")}",
            WorkAction.Ripen => $"let {n} ripen",
            WorkAction.Whitewash => $"whitewash {n}",
            WorkAction.Guard => $"guard {Numbers.Count(unions, "trunk", "trunks")}",
            WorkAction.SlopeStub => $"slope {Numbers.Count(unions, "stub", "stubs")}",
            WorkAction.Train => $"train {Numbers.Count(unions, "shoot", "shoots")}",
            WorkAction.UnionCheck => $"check {n}",
            WorkAction.StakeOff => $"take {Numbers.Count(unions, "stake", "stakes")} off",
            WorkAction.Release => $"release {n}",
            WorkAction.AirLayer => $"air-layer {Numbers.Count(unions, "shoot", "shoots")}",
            WorkAction.NurseOff => $"rub nurse buds off {Numbers.Count(unions, "stock", "stocks")}",
            WorkAction.Wait or WorkAction.Know => null,
            _ => throw new UnreachableException(),
        };
    }

    /// <summary>What nothing at hand averts, as the subject says it.</summary>
    public static string Losses(Hazard hazard, Level level, int unions)
    {
        string what = hazard switch
        {
            Hazard.Heat => "heat losses",
            Hazard.Sun => "sunburn",
            Hazard.Drying => "losses by drying",
            Hazard.Sap => "losses by sap",
            Hazard.Wind => "wind losses",
            Hazard.Frost => "frost losses",
            Hazard.Wet => "losses by wet",
            Hazard.ColdStall => "a stall",
            _ => throw new UnreachableException(),
        };
        return $"{(level == Level.Urgent ? "expect" : "perhaps")} {what} at {Numbers.Count(unions, "union", "unions")}";
    }
}

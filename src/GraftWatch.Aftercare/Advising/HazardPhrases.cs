using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Remedies;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Sentences for work the weather asks for.</summary>
internal static class HazardPhrases
{
    /// <summary>What to say where no remedy is known.</summary>
    internal static WorkAction WithoutRemedy(HazardOutcome outcome) => outcome.Hazard switch
    {
        Hazard.Drying => outcome.Part == "shoot" ? WorkAction.Water : WorkAction.Look,
        Hazard.Wet or Hazard.Wind when outcome.Part is "rain" or "cover" => WorkAction.Look,
        _ => WorkAction.Know,
    };

    /// <summary>The level that the item's worst hour reaches, in the unit of its outcome.</summary>
    internal static double StepOf(WorkItem item)
    {
        Levels levels = item.Outcome!.Levels;
        return item.Spell!.Value.Level switch { Level.Urgent => levels.Urgent, Level.Act => levels.Act, _ => levels.Note };
    }

    /// <summary>The imperative without place and hour: "Shade {0} with foil sleeve"; filled by <see cref="PlaceWords.Fill"/>. <c>{5}</c> stands where the hour goes when it does not go to the end.</summary>
    internal static string Imperative(WorkItem item)
    {
        Remedy? remedy = item.Choice?.Remedy;
        if (remedy is null)
        {
            return item.Action switch
            {
                WorkAction.Know when item.TooLate => TooLate(item),
                WorkAction.Water => "Water the {4} of {0} through and keep what shade there is",
                WorkAction.Look when item.Outcome!.Part == "cover" => "Tighten or take in the {3} of {0}",
                WorkAction.Look when item.Hazard == Hazard.Drying => "Look over the seals of {0} and close every crack",
                WorkAction.Look => "Open the film at {0} after the rain, let the water out and dry it",
                _ => item.Spell!.Value.Level == Level.Urgent ? "Expect losses at {0}" : "Watch {0}",
            };
        }

        bool shoots = item.View.ShootM > 0;
        string first = Verb(remedy, shoots);
        return remedy.Also is not { } also ? first
            : remedy.Action == also.Action ? first + " and " + also.With["with ".Length..]
            : remedy.Action == WorkAction.Shade && also.Action == WorkAction.Vent ? $"{first}{{5}}, {{2}} open {also.With}"
            : remedy.Action == WorkAction.Vent && also.Action == WorkAction.Shade ? $"{Verb(also, shoots)}{{5}}, {{2}} open {remedy.With}"
            : first + " and " + Lower(Verb(also, shoots).Replace("the shoots of {0}", "the shoots", StringComparison.Ordinal).Replace("the {3} of {0}", "{2}", StringComparison.Ordinal).Replace("{0}", "{1}", StringComparison.Ordinal));
    }

    /// <summary>What would happen, in numbers: "cambium would reach 44 °C at 14:00, 33 °C with foil sleeve".</summary>
    internal static string Consequence(WorkItem item, UnitSystem units, DayWords days)
    {
        HazardOutcome outcome = item.Outcome!;
        Spell spell = item.Spell!.Value;
        bool fine = outcome.Hazard == Hazard.Frost;
        string peak = UnitWords.Say(spell.Peak, outcome.Unit, units, fine);
        Instant peakAt = item.View.Climate.EndOf(spell.PeakHour);
        string at = days.AtHour(peakAt);
        string without = outcome.Hazard switch
        {
            Hazard.Heat => $"cambium would reach {peak} {at}",
            Hazard.Sun => $"the sun on fresh bark and leaves would reach {peak} {at}",
            Hazard.Drying => $"{outcome.Quantity} would average {peak} {days.On(peakAt)}",
            Hazard.Sap => $"the sap index reaches {UnitWords.Digits(spell.Peak, 2)} {days.On(peakAt)}",
            Hazard.Wind when outcome.Part == "shoot" => $"gusts reach {Gust(item, spell, units)} {at}, and the union may tear at about {TearsAt(item, spell.Peak, units)}",
            Hazard.Wind => $"gusts reach {peak} {at}",
            Hazard.Frost => $"{outcome.Quantity} would fall to {peak} {at}",
            Hazard.Wet when outcome.Part == "steam" => $"the cover would reach {peak} inside {at}",
            Hazard.Wet => $"{peak} of rain in 24 hours by {days.At(peakAt)}",
            Hazard.ColdStall => $"the union averages {UnitWords.Say(spell.Peak, outcome.Unit, units, true)} over the week ahead",
            _ => throw new ArgumentOutOfRangeException(nameof(item), outcome.Hazard, "Unknown hazard."),
        };
        if (item.Choice?.Remedy is not { } remedy || double.IsNaN(item.Choice.PeakAfter))
        {
            return without;
        }

        if (outcome is { Hazard: Hazard.Wind, Part: "shoot" })
        {
            return $"{without}; {Afterwards(remedy)} it stands about {TearsAt(item, item.Choice.PeakAfter, units)}";
        }

        if (remedy is { Action: WorkAction.Reseal, Also: null })
        {
            return $"{without}; a sealed one bears {UnitWords.Say(item.Choice.LevelsAfter.Act, outcome.Unit, units)}";
        }

        string after = outcome.Hazard == Hazard.Sap ? UnitWords.Digits(item.Choice.PeakAfter, 2) : UnitWords.Say(item.Choice.PeakAfter, outcome.Unit, units, fine);
        return $"{without}, {after} {Afterwards(remedy)}";
    }

    /// <summary>Why it matters, as a sentence.</summary>
    internal static string Why(WorkItem item, UnitSystem units, DayWords days)
    {
        HazardOutcome outcome = item.Outcome!;
        string act = UnitWords.Say(StepOf(item), outcome.Unit, units, outcome.Hazard == Hazard.Frost);
        string name = item.View.Species.Name;
        bool soft = item.View.Stage <= Stage.Knit;
        string why = outcome.Hazard switch
        {
            Hazard.Heat when item.Spell!.Value.Peak < StepOf(item) => $"No single hour passes {act}, but the day's hours of heat add up to as much harm.",
            Hazard.Heat when soft => $"Callus of {name} is held back above {UnitWords.Say(item.View.Species.CallusRetardedC, "°C", units)} and dies at {UnitWords.Say(item.View.Species.CallusKilledC, "°C", units)}{CallusStep(item, act)}.",
            Hazard.Heat => $"Above {act} the young union is harmed.",
            Hazard.Sun => "Bark and leaves that grew in shade burn in full sun.",
            Hazard.Drying when outcome.Part == "shoot" => $"Above {act} a young union cannot bring up what the leaves lose.",
            Hazard.Drying => $"Above {act} the cut faces dry before they join.",
            Hazard.Sap => "Sap under pressure floats the scion off and drowns the callus.",
            Hazard.Wind when outcome.Part == "shoot" => "The safety is the strength of the union over the pull of the gust: below 1 it is expected to tear, below 2 there is little to spare.",
            Hazard.Wind => "A cover that tears loose takes the scion with it.",
            Hazard.Frost when outcome.Part.Length > 0 => $"Judged as {outcome.Part}: the level for {StepWord(item)} is {act}.",
            Hazard.Wet when outcome.Part == "steam" => $"Above {act} new leaves steam in a closed cover.",
            Hazard.Wet => "Water held behind film rots the graft.",
            Hazard.ColdStall => $"Healing of {name} all but stops below {UnitWords.Say(item.View.Species.ColdStallC, "°C", units)}: keep the seal whole and expect it late; no foil or shade now.",
            _ => string.Empty,
        };
        string still = item.Choice is { Remedy: not null, Clears: false } ? " This lowers it but does not bring it under its level." : string.Empty;
        string nothing = item.TooLate ? Afterward(outcome) : IsLost(item) ? Nothing(outcome) : string.Empty;
        string price = item.Kind.EndsWith(HazardWork.ValueKind, StringComparison.Ordinal) ? " By your prices the work does not pay at this chance." : string.Empty;
        string morning = item.Action == WorkAction.FrostCover ? Already(item, days) + " Take the cover off in the morning as soon as it thaws." : string.Empty;
        return why + still + nothing + price + morning;
    }

    /// <summary>For knowledge: what to expect, with place.</summary>
    internal static string Know(WorkItem item, string place, int unions, UnitSystem units, DayWords days)
    {
        if (item.TooLate || IsLost(item))
        {
            return $"{PlaceWords.Fill(Imperative(item), place, unions)}; {Consequence(item, units, days)}.";
        }

        string start = item.Outcome!.Hazard switch
        {
            Hazard.Heat => item.Spell!.Value.Level switch { Level.Urgent => "Dangerous heat", Level.Act => "Heat", _ => "Warm" },
            Hazard.Sun => "Strong sun",
            Hazard.Drying => "Dry air",
            Hazard.Sap => "Sap rising",
            Hazard.Wind => "Wind",
            Hazard.Frost => "Cold night",
            Hazard.Wet when item.Outcome.Part == "steam" => "Steam",
            Hazard.Wet => "Wet",
            Hazard.ColdStall => "Too cold to heal",
            _ => "Watch",
        };
        string eve = item is { Hazard: Hazard.Frost, Spell.Level: >= Level.Act, EveIsAhead: true } ? " Expect to cover on the eve." : string.Empty;
        return $"{start} at {place}: {Consequence(item, units, days)}.{eve}";
    }

    // What nothing helps stays a loss when it is told again as a note.
    private static bool IsLost(WorkItem item) => item is { Action: WorkAction.Know, Choice.Remedy: null, Choice: not null, Spell.Level: >= Level.Act };

    private static string TooLate(WorkItem item)
    {
        string loss = item.Hazard switch
        {
            Hazard.Frost => "frost losses",
            Hazard.Heat => "heat losses",
            Hazard.Sun => "sunburn",
            Hazard.Drying => "losses by drying",
            Hazard.Wind => "wind losses",
            _ => "losses",
        };
        string late = item.Hazard == Hazard.Frost ? "it is too late to cover {1}" : "it is too late to help {1}";
        string bare = item.CoverWasAskedFor ? " where nothing was covered" : string.Empty;
        return item.Spell!.Value.Level == Level.Urgent ? $"Expect {loss} at {{0}}{bare}: {late}" : $"Some {loss} may come at {{0}}{bare}: {late}";
    }

    private static string Afterward(HazardOutcome outcome) => outcome.Hazard switch
    {
        Hazard.Frost => " Look when it has thawed, and keep wood for grafting again.",
        Hazard.Heat or Hazard.Drying => " Water in the evening, look for cracked wax, and keep wood for grafting again.",
        Hazard.Wind => " Look at them when the wind has dropped.",
        _ => " Look at them when it has passed.",
    };

    // Hours that are past and were already at the urgent level: a cover limits what is lost, and no more.
    private static string Already(WorkItem item, DayWords days)
    {
        HazardOutcome outcome = item.Outcome!;
        int first = item.View.Climate.FirstAhead;
        while (first > 0 && first <= outcome.Values.Length && outcome.Levels.Of(outcome.Values[first - 1], outcome.Direction) == Level.Urgent)
        {
            first--;
        }

        return first < item.View.Climate.FirstAhead && item.Spell!.Value.FromHour == item.View.Climate.FirstAhead
            ? $" It has been at the urgent level since {days.At(item.View.Climate.StartOf(first))}: some may be lost already."
            : string.Empty;
    }

    private static string CallusStep(WorkItem item, string step) =>
        StepOf(item) == item.View.Species.CallusKilledC ? string.Empty : $"; the level for {StepWord(item)} is {step}";

    private static string Nothing(HazardOutcome outcome) => outcome.Hazard switch
    {
        Hazard.Heat => " No cover known brings it under that: water at dawn, keep shade on, and keep wood for grafting again.",
        Hazard.Frost => " No cover known brings it above that; keep wood for grafting again.",
        Hazard.Sap => " Wait for the flow to ease.",
        _ => " Nothing known brings it under its level.",
    };

    private static string Verb(Remedy remedy, bool shoots) => remedy.Action switch
    {
        WorkAction.Shade => $"Shade {{0}} {remedy.With}",
        WorkAction.Vent => $"Open the {{3}} of {{0}} {remedy.With}",
        WorkAction.CloseCover => remedy.Material.Length > 0 ? $"Put {{0}} in a {remedy.With["with ".Length..]}" : $"Close the {{3}} of {{0}} {remedy.With}",
        WorkAction.FrostCover => $"Cover {(shoots ? "the shoots of " : string.Empty)}{{0}} overnight {remedy.With}",
        WorkAction.Reseal => "Reseal {0}",
        WorkAction.Relieve => "Make two relief cuts below {0}, on opposite sides",
        WorkAction.Stake => "Stake the shoots of {0}",
        WorkAction.TieIn => "Tie in the shoots of {0}",
        WorkAction.Pinch => "Tip the shoots of {0}",
        WorkAction.Whitewash => "Whitewash the bark at {0}, not the buds",
        _ => $"See to {{0}}",
    };

    private static string Afterwards(Remedy remedy)
    {
        string first = One(remedy);
        return remedy.Also is not { } also ? first
            : remedy.Action == also.Action ? first + " and " + also.With["with ".Length..]
            : first + " and " + (first.StartsWith("with ", StringComparison.Ordinal) ? Bare(One(also)) : One(also));

        static string Bare(string words) => words.StartsWith("with ", StringComparison.Ordinal) ? words["with ".Length..] : words;

        static string One(Remedy remedy) => remedy.Action switch
        {
            WorkAction.Shade or WorkAction.FrostCover => remedy.With,
            WorkAction.Vent => "with the cover open",
            WorkAction.CloseCover => "closed",
            WorkAction.Reseal => "sealed",
            WorkAction.Relieve => "with relief cuts",
            WorkAction.Stake => "staked",
            WorkAction.TieIn => "tied in",
            WorkAction.Pinch => "tipped",
            WorkAction.Whitewash => "painted",
            _ => "afterwards",
        };
    }

    private static string Gust(WorkItem item, Spell spell, UnitSystem units) => UnitWords.Say(item.View.Climate.Gusts[spell.PeakHour], "m/s", units);

    // Drag grows with the square of the wind or less, as leaves fold: between the two laws the lower gust is said.
    private static string TearsAt(WorkItem item, double safety, UnitSystem units)
    {
        double gust = item.View.Climate.Gusts[item.Spell!.Value.PeakHour];
        return UnitWords.Say(gust * (safety < 1 ? safety : Math.Sqrt(safety)), "m/s", units);
    }

    private static string StepWord(WorkItem item) => item.Spell!.Value.Level switch
    {
        Level.Urgent => "urgent work",
        Level.Act => "work",
        _ => "a note",
    };

    private static string Lower(string text) => char.ToLowerInvariant(text[0]) + text[1..];
}

using System.Globalization;
using System.Text;
using System.Text.Json;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Explaining;

/// <summary>Why a round says what it says of one graft, as text and as JSON.</summary>
internal static class ReasonsText
{
    private static readonly ZonedDateTimePattern When = ZonedDateTimePattern.CreateWithInvariantCulture("ddd d MMM HH:mm", null);

    internal static string Of(GraftReasons reasons, RoundRequest request)
    {
        DateTimeZone zone = request.Places.First(place => place.Place.Name == reasons.Graft.Place).Place.Zone;
        var text = new StringBuilder();
        text.Append(CultureInfo.InvariantCulture, $"{reasons.Graft.Label} on {LocalDatePattern.Iso.Format(request.Date)}: {reasons.Graft.Species}, {TradeNames.Key(reasons.Graft.Technique)}, ");
        text.Append(CultureInfo.InvariantCulture, $"stage {TradeNames.Key(reasons.Stage.Stage)}, {reasons.Stage.HealingDays:0.0} days of healing\n\nHAZARDS\n");
        foreach (HazardReason hazard in reasons.Hazards)
        {
            text.Append("- ").Append(Key(hazard.Hazard)).Append(": ").Append(Sentence(hazard, zone)).Append('\n');
        }

        text.Append("\nSAID\n");
        foreach (Advice advice in reasons.Said)
        {
            text.Append(CultureInfo.InvariantCulture, $"- {Key(advice.Level)} {Key(advice.Action)}: {advice.Text} {advice.Why}{(advice.OpenSince is { } since ? $" Open since {LocalDatePattern.Iso.Format(since)}." : string.Empty)}\n");
        }

        text.Append(reasons.Said.Count == 0 ? "- nothing\n" : string.Empty).Append("\nNOT SAID\n");
        foreach (UnsaidAdvice unsaid in reasons.Unsaid)
        {
            text.Append(CultureInfo.InvariantCulture, $"- {Key(unsaid.Advice.Level)} {Key(unsaid.Advice.Action)}: {Because(unsaid)}\n");
        }

        foreach (NotDueWork work in reasons.NotDue)
        {
            text.Append(CultureInfo.InvariantCulture, $"- {Key(work.Action)}: {work.Why}\n");
        }

        return text.ToString();
    }

    internal static string Json(GraftReasons reasons, RoundRequest request)
    {
        using var bytes = new MemoryStream();
        using (var json = new Utf8JsonWriter(bytes, new JsonWriterOptions { Indented = true }))
        {
            json.WriteStartObject();
            json.WriteString("graft", reasons.Graft.Label);
            json.WriteString("date", LocalDatePattern.Iso.Format(request.Date));
            json.WriteString("stage", TradeNames.Key(reasons.Stage.Stage));
            Number(json, "healingDays", reasons.Stage.HealingDays);
            json.WriteStartArray("hazards");
            foreach (HazardReason hazard in reasons.Hazards)
            {
                Write(json, hazard);
            }

            json.WriteEndArray();
            WriteLines(json, "said", reasons.Said.Select(advice => (advice, advice.Why)));
            WriteLines(json, "notSaid", reasons.Unsaid.Select(unsaid => (unsaid.Advice, Because(unsaid))));
            json.WriteStartArray("notDue");
            foreach (NotDueWork work in reasons.NotDue)
            {
                json.WriteStartObject();
                json.WriteString("action", Key(work.Action));
                json.WriteString("why", work.Why);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteEndObject();
        }

        return Encoding.UTF8.GetString(bytes.ToArray());
    }

    private static string Sentence(HazardReason hazard, DateTimeZone zone)
    {
        string levels = LevelsOf(hazard);
        string line = hazard.Setting is { } setting ? string.Create(CultureInfo.InvariantCulture, $"{hazard.Key} in {setting.File}:{setting.Line}") : "the species' own table or limit";
        string worst = hazard.WorstAt is { } at
            ? string.Create(CultureInfo.InvariantCulture, $"worst {hazard.Quantity} {hazard.Worst:0.##}{(hazard.Unit == "-" ? string.Empty : " " + hazard.Unit)} at {When.Format(at.InZone(zone))}")
            : "no value is known";
        return hazard.Verdict switch
        {
            HazardVerdict.CannotMeet => $"cannot meet it, because {hazard.Why}",
            HazardVerdict.NotChecked => $"not checked, because {hazard.Why} ({levels}; {line})",
            HazardVerdict.Fine => $"fine: {worst} ({levels}; {line})",
            HazardVerdict.Reached => string.Create(
                CultureInfo.InvariantCulture,
                $"{Key(hazard.Reached)} on {hazard.Days} {(hazard.Days == 1 ? "day or night" : "days or nights")}, first {When.Format(hazard.From!.Value.InZone(zone))} to {When.Format(hazard.To!.Value.InZone(zone))}; {worst} ({levels}; {line})"),
            _ => throw new System.Diagnostics.UnreachableException(),
        };
    }

    // The unit stands behind the last number; a level nothing can reach is named without one.
    private static string LevelsOf(HazardReason hazard)
    {
        (string Name, double Value)[] levels = [("note", hazard.Levels.Note), ("act", hazard.Levels.Act), ("urgent", hazard.Levels.Urgent)];
        string[] reachable = [.. levels.Where(level => double.IsFinite(level.Value)).Select(level => string.Create(CultureInfo.InvariantCulture, $"{level.Name} {level.Value:0.##}"))];
        string[] never = [.. levels.Where(level => !double.IsFinite(level.Value)).Select(level => level.Name)];
        string way = hazard.Direction == LevelDirection.Falling ? "falling to " : "rising to ";
        string numbers = reachable.Length == 0 ? string.Empty : way + string.Join(", ", reachable) + (hazard.Unit == "-" ? string.Empty : " " + hazard.Unit);
        return numbers + (never.Length == 0 ? string.Empty : (numbers.Length > 0 ? ", " : string.Empty) + "never " + string.Join(" or ", never));
    }

    private static string Because(UnsaidAdvice unsaid) => unsaid.Before switch
    {
        { State: SaidState.Done } before => $"done (said {LocalDatePattern.Iso.Format(before.FirstSaid)})",
        { State: SaidState.NotNeeded } => "the grower says it is not needed",
        { State: SaidState.PutOff, Until: { } until } => $"put off to {LocalDatePattern.Iso.Format(until)}",
        { State: SaidState.PutOff } => "put off",
        { State: SaidState.Open } before => $"said before, on {LocalDatePattern.Iso.Format(before.FirstSaid)}, and not worse since",
        null => "other work takes its place",
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    private static void Write(Utf8JsonWriter json, HazardReason hazard)
    {
        json.WriteStartObject();
        json.WriteString("hazard", Key(hazard.Hazard));
        json.WriteString("verdict", Key(hazard.Verdict));
        json.WriteString("why", hazard.Why);
        json.WriteString("quantity", hazard.Quantity);
        json.WriteString("unit", hazard.Unit);
        Number(json, "worst", hazard.Worst);
        json.WriteString("at", hazard.WorstAt is { } at ? InstantPattern.General.Format(at) : null);
        bool held = hazard.Verdict != HazardVerdict.CannotMeet;
        Number(json, "note", held ? hazard.Levels.Note : double.NaN);
        Number(json, "act", held ? hazard.Levels.Act : double.NaN);
        Number(json, "urgent", held ? hazard.Levels.Urgent : double.NaN);
        json.WriteString("reached", Key(hazard.Reached));
        json.WriteString("setting", hazard.Key);
        json.WriteString("file", hazard.Setting?.File);
        json.WriteNumber("line", hazard.Setting?.Line ?? 0);
        json.WriteEndObject();
    }

    private static void WriteLines(Utf8JsonWriter json, string name, IEnumerable<(Advice Advice, string Why)> lines)
    {
        json.WriteStartArray(name);
        foreach ((Advice advice, string why) in lines)
        {
            json.WriteStartObject();
            json.WriteString("action", Key(advice.Action));
            json.WriteString("hazard", advice.Hazard is { } hazard ? Key(hazard) : null);
            json.WriteString("level", Key(advice.Level));
            json.WriteString("text", advice.Text);
            json.WriteString("why", why);
            json.WriteEndObject();
        }

        json.WriteEndArray();
    }

    private static void Number(Utf8JsonWriter json, string name, double value)
    {
        if (double.IsFinite(value))
        {
            json.WriteNumber(name, Math.Round(value, 3));
        }
        else
        {
            json.WriteNull(name);
        }
    }

    private static string Key<TEnum>(TEnum value)
        where TEnum : struct, Enum => JsonNamingPolicy.KebabCaseLower.ConvertName(value.ToString());
}

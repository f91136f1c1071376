using System.Text;
using System.Text.Json;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Replaying;
using NodaTime.Text;

namespace GraftWatch.Replaying;

/// <summary>A replayed season as JSON.</summary>
internal static class SeasonJson
{
    internal static string Write(IReadOnlyList<(string Thresholds, SeasonResult Season)> seasons)
    {
        using var bytes = new MemoryStream();
        using (var json = new Utf8JsonWriter(bytes, new JsonWriterOptions { Indented = true }))
        {
            json.WriteStartArray();
            for (int i = 0; i < seasons.Count; i++)
            {
                json.WriteStartObject();
                json.WriteString("thresholds", seasons[i].Thresholds);
                json.WriteString("forecast", "the hours that came, as if foreseen");
                json.WriteStartArray("days");
                foreach (SeasonDay day in seasons[i].Season.Days)
                {
                    WriteDay(json, day);
                }

                json.WriteEndArray();
                if (i > 0)
                {
                    WriteComparison(json, seasons[0].Season, seasons[i].Season);
                }

                json.WriteEndObject();
            }

            json.WriteEndArray();
        }

        return Encoding.UTF8.GetString(bytes.ToArray());
    }

    private static void WriteComparison(Utf8JsonWriter json, SeasonResult first, SeasonResult second)
    {
        json.WriteStartArray("changes");
        foreach (LineChange change in SeasonComparison.Changes(first, second))
        {
            json.WriteStartObject();
            json.WriteString("date", LocalDatePattern.Iso.Format(change.Date));
            json.WriteString("hazard", change.Hazard is null ? null : SeasonText.Name(change.Hazard));
            json.WriteString("action", change.Action.Key());
            json.WriteString("before", SeasonText.LevelName(change.Before));
            json.WriteString("after", SeasonText.LevelName(change.After));
            json.WriteString("change", change.Word);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteStartArray("exposureDifference");
        foreach (Hazard hazard in Enum.GetValues<Hazard>())
        {
            HazardExposure before = SeasonText.Sum(first.Days, hazard);
            HazardExposure after = SeasonText.Sum(second.Days, hazard);
            json.WriteStartObject();
            json.WriteString("hazard", SeasonText.Name(hazard));
            json.WriteString("unit", SeasonText.UnitOf(before));
            json.WriteNumber("note", after.Note - before.Note);
            json.WriteNumber("act", after.Act - before.Act);
            json.WriteNumber("urgent", after.Urgent - before.Urgent);
            json.WriteEndObject();
        }

        json.WriteEndArray();
    }

    private static void WriteDay(Utf8JsonWriter json, SeasonDay day)
    {
        json.WriteStartObject();
        json.WriteString("date", LocalDatePattern.Iso.Format(day.Date));
        json.WriteNumber("notChecked", day.NotChecked);
        WriteFelt(json, day.Felt);
        json.WriteStartArray("advice");
        foreach (Advice advice in day.Advice)
        {
            json.WriteStartObject();
            json.WriteString("id", advice.Id);
            json.WriteString("level", SeasonText.LevelName(advice.Level));
            json.WriteString("hazard", advice.Hazard is null ? null : SeasonText.Name(advice.Hazard));
            json.WriteString("action", advice.Action.Key());
            json.WriteNumber("unions", advice.Unions);
            json.WriteNumber("minutes", Math.Round(advice.Minutes, 1));
            json.WriteStartArray("grafts");
            foreach (string graft in advice.Grafts)
            {
                json.WriteStringValue(graft);
            }

            json.WriteEndArray();
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void WriteFelt(Utf8JsonWriter json, FeltDay felt)
    {
        json.WriteStartObject("felt");
        json.WriteStartArray("hazards");
        foreach (HazardExposure exposure in felt.Hazards)
        {
            json.WriteStartObject();
            json.WriteString("hazard", SeasonText.Name(exposure.Hazard));
            json.WriteString("unit", SeasonText.UnitOf(exposure));
            json.WriteNumber("note", exposure.Note);
            json.WriteNumber("act", exposure.Act);
            json.WriteNumber("urgent", exposure.Urgent);
            json.WriteNumber("unknown", exposure.Unknown);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteNumber("frostUnionHours", felt.FrostHours);
        json.WriteNumber("unknownUnionHours", felt.UnknownHours);
        Write("warmestCambiumC", felt.WarmestC);
        Write("coldestBudC", felt.ColdestC);
        json.WriteEndObject();

        void Write(string name, double value)
        {
            if (double.IsFinite(value))
            {
                json.WriteNumber(name, Math.Round(value, 1));
            }
            else
            {
                json.WriteNull(name);
            }
        }
    }
}

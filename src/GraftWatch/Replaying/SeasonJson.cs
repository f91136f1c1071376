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
            foreach ((string thresholds, SeasonResult season) in seasons)
            {
                json.WriteStartObject();
                json.WriteString("thresholds", thresholds);
                json.WriteString("forecast", "the hours that came, as if foreseen");
                json.WriteStartArray("days");
                foreach (SeasonDay day in season.Days)
                {
                    WriteDay(json, day);
                }

                json.WriteEndArray();
                json.WriteEndObject();
            }

            json.WriteEndArray();
        }

        return Encoding.UTF8.GetString(bytes.ToArray());
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
        json.WriteNumber("heatNoteUnionHours", felt.HeatNote);
        json.WriteNumber("heatActUnionHours", felt.HeatAct);
        json.WriteNumber("heatUrgentUnionHours", felt.HeatUrgent);
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

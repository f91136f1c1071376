using System.Globalization;
using System.Text;
using System.Text.Json;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Microclimate.Weather;
using NodaTime.Text;

namespace GraftWatch.Explaining;

/// <summary>The hours as CSV and as JSON, for other programs.</summary>
internal static class ExplainCsv
{
    private const string Number = "0.####";

    /// <summary>Writes the header and one line an hour.</summary>
    internal static void Write(ExplainedGraft graft, TextWriter to)
    {
        to.Write(ExplainColumn.Header + "\n");
        var line = new StringBuilder();
        for (int hour = graft.First; hour <= graft.Last; hour++)
        {
            line.Clear().Append(InstantPattern.General.Format(graft.Hours.EndOf(hour)));
            foreach (ExplainColumn column in ExplainColumn.All)
            {
                line.Append(',').Append(Text(column.Value(graft.Hours, hour)));
            }

            to.Write(line.Append(',').Append(ExplainColumn.StageOf(graft.Hours, hour)).Append('\n').ToString());
        }
    }

    /// <summary>Writes one object: the graft, where the numbers come from, and the hours with the names of the CSV.</summary>
    internal static byte[] Json(ExplainedGraft graft)
    {
        GraftHours hours = graft.Hours;
        using var bytes = new MemoryStream();
        using (var json = new Utf8JsonWriter(bytes, new JsonWriterOptions { Indented = true }))
        {
            json.WriteStartObject();
            json.WriteString("graft", hours.Graft.Label);
            json.WriteString("place", hours.Place.Name);
            json.WriteString("zone", hours.Place.Zone.Id);
            json.WriteString("now", InstantPattern.General.Format(graft.Request.Now));
            WriteTexts(json, "assumed", graft.Assumed);
            WriteOrigins(json, graft);
            json.WriteStartArray("hours");
            for (int hour = graft.First; hour <= graft.Last; hour++)
            {
                WriteHour(json, hours, hour);
            }

            json.WriteEndArray();
            json.WriteEndObject();
        }

        return bytes.ToArray();
    }

    private static void WriteTexts(Utf8JsonWriter json, string name, IReadOnlyList<string> texts)
    {
        json.WriteStartArray(name);
        foreach (string text in texts)
        {
            json.WriteStringValue(text);
        }

        json.WriteEndArray();
    }

    private static void WriteOrigins(Utf8JsonWriter json, ExplainedGraft graft)
    {
        json.WriteStartObject("origins");
        foreach (ExplainColumn column in ExplainColumn.All)
        {
            json.WriteStartObject(column.Name);
            foreach ((WeatherOrigin origin, int count) in graft.OriginsOf(column))
            {
                json.WriteNumber(JsonNamingPolicy.CamelCase.ConvertName(origin.ToString()), count);
            }

            json.WriteEndObject();
        }

        json.WriteEndObject();
    }

    private static void WriteHour(Utf8JsonWriter json, GraftHours hours, int hour)
    {
        json.WriteStartObject();
        json.WriteString("time", InstantPattern.General.Format(hours.EndOf(hour)));
        foreach (ExplainColumn column in ExplainColumn.All)
        {
            double value = column.Value(hours, hour);
            if (double.IsFinite(value))
            {
                json.WriteNumber(column.Name, Math.Round(value, 4));
            }
            else
            {
                json.WriteNull(column.Name);
            }
        }

        json.WriteString("stage", ExplainColumn.StageOf(hours, hour));
        json.WriteEndObject();
    }

    private static string Text(double value) => double.IsFinite(value) ? Unsigned(value.ToString(Number, CultureInfo.InvariantCulture)) : string.Empty;

    private static string Unsigned(string text) => text == "-0" ? "0" : text;
}

using System.Buffers;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Unicode;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using NodaTime.Text;

namespace GraftWatch.Letters.Channels;

/// <summary>A round as a JSON message for machines. Field names as in the round's own JSON; numbers in SI.</summary>
internal static class RoundMessage
{
    private static readonly JsonWriterOptions Options = new() { Encoder = JavaScriptEncoder.Create(UnicodeRanges.All) };

    /// <summary>The message: type, timestamp and data, as the Standard Webhooks specification advises.</summary>
    public static byte[] Json(Round round, LetterSlot slot, string id, LetterRequest request)
    {
        var bytes = new ArrayBufferWriter<byte>();
        using (var json = new Utf8JsonWriter(bytes, Options))
        {
            json.WriteStartObject();
            json.WriteString("type", slot.Kind == LetterKind.Urgent ? "letter.urgent" : "letter.morning");
            json.WriteString("timestamp", InstantPattern.ExtendedIso.Format(request.Now));
            json.WriteStartObject("data");
            json.WriteNumber("schema", 1);
            json.WriteString("slot", id);
            json.WriteString("grower", PlainWords.Name(round.Grower));
            json.WriteString("date", LocalDatePattern.Iso.Format(round.Date));
            json.WriteNumber("number", request.Number);
            json.WriteString("subject", SubjectLine.For(round, slot.Kind));
            json.WriteStartArray("advice");
            foreach (Advice advice in round.Advice)
            {
                Write(json, advice);
            }

            json.WriteEndArray();
            json.WriteStartArray("notChecked");
            foreach (NotChecked gap in round.NotChecked)
            {
                json.WriteStartObject();
                json.WriteString("graft", PlainWords.Name(gap.Graft));
                Word(json, "hazard", gap.Hazard?.ToString());
                Word(json, "task", gap.Task.Length > 0 ? gap.Task : null);
                json.WriteString("why", PlainWords.Sentence(gap.Why));
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteEndObject();
            json.WriteEndObject();
        }

        return bytes.WrittenSpan.ToArray();
    }

    private static void Write(Utf8JsonWriter json, Advice advice)
    {
        json.WriteStartObject();
        json.WriteString("id", PlainWords.Name(advice.Id));
        Word(json, "action", advice.Action.ToString());
        Word(json, "hazard", advice.Hazard?.ToString());
        Word(json, "level", advice.Level.ToString());
        json.WriteString("place", PlainWords.Name(advice.Place));
        json.WriteStartArray("grafts");
        foreach (string label in advice.Grafts)
        {
            json.WriteStringValue(PlainWords.Name(label));
        }

        json.WriteEndArray();
        json.WriteNumber("unions", advice.Unions);
        At(json, "doFrom", advice.DoFrom);
        At(json, "doBy", advice.DoBy);
        json.WriteStartArray("reason");
        foreach (Reason reason in advice.Reasons)
        {
            json.WriteStartObject();
            json.WriteString("quantity", PlainWords.Name(reason.Quantity));
            json.WriteString("unit", PlainWords.Name(reason.Unit));
            At(json, "at", reason.At);
            Number(json, "without", reason.Without);
            Number(json, "with", reason.With);
            Number(json, "threshold", reason.Threshold);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        Number(json, "probability", advice.Probability);
        json.WriteStartArray("materials");
        foreach (string material in advice.Materials)
        {
            json.WriteStringValue(PlainWords.Name(material));
        }

        json.WriteEndArray();
        Number(json, "minutes", advice.Minutes);
        json.WriteString("text", PlainWords.Sentence(advice.Text));
        json.WriteEndObject();
    }

    private static void At(Utf8JsonWriter json, string name, NodaTime.Instant? at)
    {
        if (at is { } instant)
        {
            json.WriteString(name, InstantPattern.ExtendedIso.Format(instant));
        }
        else
        {
            json.WriteNull(name);
        }
    }

    private static void Number(Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } number && double.IsFinite(number))
        {
            json.WriteNumber(name, number);
        }
        else
        {
            json.WriteNull(name);
        }
    }

    private static void Word(Utf8JsonWriter json, string name, string? word)
    {
        if (word is null)
        {
            json.WriteNull(name);
        }
        else
        {
            json.WriteString(name, JsonNamingPolicy.KebabCaseLower.ConvertName(word));
        }
    }
}

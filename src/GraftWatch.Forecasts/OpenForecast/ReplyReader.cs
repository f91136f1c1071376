using System.Globalization;
using System.Text.Json;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Walks a reply once and hands each location to <see cref="ReplyGrid"/>.</summary>
internal ref struct ReplyReader(ReadOnlySpan<byte> json, ReplyReading reading)
{
    private const int MostFaults = 12;
    private readonly ReadOnlySpan<byte> json = json;
    private readonly ReplyDraft draft = new();
    private Utf8JsonReader reader = new(json);
    private long origin;

    /// <summary>Bytes read so far.</summary>
    public readonly long Position => origin + reader.BytesConsumed;

    /// <summary>Reads all locations.</summary>
    /// <exception cref="JsonException">The text is not JSON.</exception>
    /// <exception cref="InvalidOperationException">A string is not UTF-8.</exception>
    public void ReadAll(List<ReplyLocation> locations, List<string> faults)
    {
        reader.Read();
        if (reader.TokenType == JsonTokenType.StartObject)
        {
            ReadLocation(locations, faults);
        }
        else if (reader.TokenType == JsonTokenType.StartArray)
        {
            if (ReadList(locations, faults) is { } fault)
            {
                locations.Clear();
                faults.Clear();
                faults.Add(fault);
                return;
            }
        }
        else
        {
            faults.Add($"{reading.Name} holds only {Word(reader.TokenType)} where weather belongs; fetch it again from the forecast endpoint.");
        }

        // Anything behind the last bracket makes this throw.
        reader.Read();
    }

    private string? ReadList(List<ReplyLocation> locations, List<string> faults)
    {
        while (reader.Read() && reader.TokenType != JsonTokenType.EndArray)
        {
            if (reader.TokenType != JsonTokenType.StartObject)
            {
                return $"{reading.Name} holds {Word(reader.TokenType)} in a list where locations belong; fetch it again from the forecast endpoint.";
            }

            if (locations.Count == reading.MostLocations)
            {
                return $"{reading.Name} holds more than {reading.MostLocations} locations, the most one reply may have; ask for fewer at once.";
            }

            ReadLocation(locations, faults);
        }

        return locations.Count == 0 ? $"{reading.Name} is an empty list, without any location; ask with latitude and longitude." : null;
    }

    private void ReadLocation(List<ReplyLocation> locations, List<string> faults)
    {
        draft.Reset();
        int depth = reader.CurrentDepth;
        while (reader.Read() && !(reader.TokenType == JsonTokenType.EndObject && reader.CurrentDepth == depth))
        {
            ReadProperty();
        }

        ReplyLocation location = ReplyGrid.Build(draft, locations.Count, reading);
        locations.Add(location);
        foreach (string fault in location.Faults)
        {
            if (faults.Count < MostFaults)
            {
                faults.Add(fault);
            }
            else if (faults.Count == MostFaults)
            {
                faults.Add("More faults follow; only the first are listed.");
            }
        }
    }

    private void ReadProperty()
    {
        if (reader.ValueTextEquals("hourly"u8))
        {
            ReadHourly();
        }
        else if (reader.ValueTextEquals("hourly_units"u8))
        {
            ReadUnits();
        }
        else if (reader.ValueTextEquals("latitude"u8))
        {
            draft.LatitudeDeg = ReadNumber();
        }
        else if (reader.ValueTextEquals("longitude"u8))
        {
            draft.LongitudeDeg = ReadNumber();
        }
        else if (reader.ValueTextEquals("elevation"u8))
        {
            draft.ElevationM = ReadNumber();
        }
        else if (reader.ValueTextEquals("utc_offset_seconds"u8))
        {
            draft.OffsetSeconds = ReadNumber();
        }
        else if (reader.ValueTextEquals("timezone"u8))
        {
            draft.TimeZone = ReadText();
        }
        else if (reader.ValueTextEquals("reason"u8))
        {
            draft.Reason = ReadText();
        }
        else if (reader.ValueTextEquals("error"u8))
        {
            reader.Read();
            draft.Refused |= reader.TokenType == JsonTokenType.True;
            reader.Skip();
        }
        else
        {
            reader.Read();
            reader.Skip();
        }
    }

    private double ReadNumber()
    {
        reader.Read();
        double value = reader.TokenType == JsonTokenType.Number && reader.TryGetDouble(out double number) ? number : double.NaN;
        reader.Skip();
        return value;
    }

    private string? ReadText()
    {
        reader.Read();
        string? value = reader.TokenType == JsonTokenType.String ? reader.GetString() : null;
        reader.Skip();
        return value;
    }

    private void ReadUnits()
    {
        reader.Read();
        if (reader.TokenType != JsonTokenType.StartObject)
        {
            reader.Skip();
            return;
        }

        while (reader.Read() && reader.TokenType == JsonTokenType.PropertyName)
        {
            bool known = ReplyColumns.TryFind(ref reader, out int column, out int member, out _);
            reader.Read();
            if (known && column != ReplyColumns.TimeIndex && reader.TokenType == JsonTokenType.String)
            {
                draft.SlotOf(column, member).Unit = ReplyUnits.Read(ref reader);
            }

            reader.Skip();
        }
    }

    private void ReadHourly()
    {
        reader.Read();
        if (reader.TokenType != JsonTokenType.StartObject)
        {
            reader.Skip();
            return;
        }

        draft.HasHourly = true;
        while (reader.Read() && reader.TokenType == JsonTokenType.PropertyName)
        {
            bool known = ReplyColumns.TryFind(ref reader, out int column, out int member, out bool suffixed);
            if (suffixed)
            {
                draft.Suffixed ??= reader.GetString();
            }

            reader.Read();
            if (!known || (column != ReplyColumns.TimeIndex && member > reading.MostMembers))
            {
                reader.Skip();
            }
            else if (column == ReplyColumns.TimeIndex)
            {
                ReadTimes();
            }
            else
            {
                ReadColumn(column, member);
            }
        }
    }

    private void ReadColumn(int column, int member)
    {
        ReplyDraft.Slot slot = draft.SlotOf(column, member);
        string name = ReplyColumns.All[column].Name;
        if (slot.Values is not null)
        {
            draft.Faults.Add($"holds the column {name} twice");
            reader.Skip();
        }
        else if (reader.TokenType == JsonTokenType.StartArray)
        {
            ReplyBuffer buffer = draft.Rent();
            slot.Values = buffer;
            if (!TryScan(buffer))
            {
                ReadSlowly(buffer, name);
            }
        }
        else if (reader.TokenType != JsonTokenType.Null)
        {
            draft.Faults.Add($"holds {Word(reader.TokenType)} where the column {name} should be a list");
            reader.Skip();
        }
    }

    private void ReadTimes()
    {
        if (draft.Times is not null || reader.TokenType != JsonTokenType.StartArray)
        {
            draft.Faults.Add(draft.Times is not null ? "holds the column time twice" : $"holds {Word(reader.TokenType)} where the column time should be a list");
            reader.Skip();
            return;
        }

        ReplyBuffer buffer = draft.Rent();
        draft.Times = buffer;
        if (!TryScan(buffer) && !TryReadStamps(buffer))
        {
            draft.Faults.Add("has a time stamp that is neither a whole number of seconds nor of the form 2026-04-22T02:00");
        }
    }

    /// <summary>Reads a plain array of numbers and nulls past the reader, then lets the reader go on at the closing bracket.</summary>
    private bool TryScan(ReplyBuffer buffer)
    {
        int at = (int)Position;
        if (!NumberScan.TryReadArray(json, ref at, buffer, reading.MostHours))
        {
            buffer.Clear();
            return false;
        }

        // To the reader the array looks empty: its state still says "an array has just been opened".
        reader = new Utf8JsonReader(json[at..], isFinalBlock: true, reader.CurrentState);
        origin = at;
        return reader.Read();
    }

    private void ReadSlowly(ReplyBuffer buffer, string name)
    {
        bool sound = true;
        int depth = reader.CurrentDepth;
        while (reader.Read() && !(reader.TokenType == JsonTokenType.EndArray && reader.CurrentDepth == depth))
        {
            double value = double.NaN;
            bool fits = reader.TokenType == JsonTokenType.Null || (reader.TokenType == JsonTokenType.Number && reader.TryGetDouble(out value));
            if (sound && (!fits || buffer.Count >= reading.MostHours))
            {
                string where = (buffer.Count + 1).ToString(CultureInfo.InvariantCulture);
                draft.Faults.Add(fits
                    ? $"has more than {reading.MostHours} entries in the column {name}"
                    : $"holds {Word(reader.TokenType)} at entry {where} of the column {name}, where a number or null belongs; fetch it again and do not edit it");
                sound = false;
            }

            if (sound)
            {
                buffer.Add(value);
            }

            reader.Skip();
        }
    }

    private bool TryReadStamps(ReplyBuffer buffer)
    {
        bool sound = true;
        int depth = reader.CurrentDepth;
        while (reader.Read() && !(reader.TokenType == JsonTokenType.EndArray && reader.CurrentDepth == depth))
        {
            bool isUtc = false;
            long seconds = 0;
            sound = sound && buffer.Count < reading.MostHours && reader.TokenType == JsonTokenType.String
                && !reader.ValueIsEscaped && StampScan.TryRead(reader.ValueSpan, out seconds, out isUtc);
            if (sound)
            {
                buffer.Add(seconds);
                draft.TimesAreLocal = !isUtc;
            }

            reader.Skip();
        }

        return sound;
    }

    private static string Word(JsonTokenType token) => token switch
    {
        JsonTokenType.String => "text",
        JsonTokenType.Number => "a number",
        JsonTokenType.True or JsonTokenType.False => "true or false",
        JsonTokenType.Null => "null",
        JsonTokenType.StartArray => "a list",
        JsonTokenType.StartObject => "an object",
        _ => "nothing",
    };
}

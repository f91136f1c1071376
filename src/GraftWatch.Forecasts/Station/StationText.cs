using System.Globalization;
using System.Text.Json;
using GraftWatch.Forecasts.Quality;
using NodaTime;
using NodaTime.Text;
using NodaTime.TimeZones;
using Sylvan.Data.Csv;

namespace GraftWatch.Forecasts.Station;

/// <summary>Reads what a station's program writes: CSV with a header, or JSON; never throws, whatever the text.</summary>
/// <remarks>
/// CSV: a column <c>time</c> and any of <see cref="StationColumn.All"/>; comma, semicolon or tab between; other columns are passed over. JSON: a list
/// of objects with the same names, alone or under <c>readings</c>. Times are ISO: with Z or an offset, or local to the place's zone; of an
/// hour that comes twice in autumn the first is meant, and the second once readings go on. An unfinished last line is passed over in silence.
/// </remarks>
internal static class StationText
{
    private const int MostFaults = 5;

    private static readonly LocalDateTimePattern[] LocalPatterns =
    [
        LocalDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd'T'HH:mm:ss"),
        LocalDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd'T'HH:mm"),
        LocalDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm:ss"),
        LocalDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm"),
    ];

    private static readonly OffsetDateTimePattern[] ExactPatterns =
    [
        OffsetDateTimePattern.ExtendedIso,
        OffsetDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd'T'HH:mmo<G>"),
        OffsetDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm:sso<G>"),
        OffsetDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mmo<G>"),
    ];

    /// <summary>Readings and what could not be read.</summary>
    internal sealed record Result(StationReadings Readings, IReadOnlyList<string> Faults);

    public static Result Parse(string text, string name, DateTimeZone zone)
    {
        var collected = new Collected(name, zone);
        string trimmed = text.TrimStart('\uFEFF', ' ', '\t', '\r', '\n');
        if (trimmed.Length == 0)
        {
            collected.Fault("is empty");
        }
        else if (trimmed[0] is '[' or '{')
        {
            ReadJson(trimmed, collected);
        }
        else
        {
            ReadCsv(trimmed, collected);
        }

        return collected.Result();
    }

    private static void ReadJson(string text, Collected collected)
    {
        try
        {
            using var document = JsonDocument.Parse(text);
            JsonElement? list = document.RootElement.ValueKind == JsonValueKind.Array ? document.RootElement : document.RootElement.At("readings");
            int entry = 0;
            foreach (JsonElement item in list.Items())
            {
                entry++;
                var values = StationColumn.All.Select(c => (Column: c, Value: item.NumberAt(c.Name))).Where(v => !double.IsNaN(v.Value)).ToDictionary(v => v.Column, v => v.Value);
                collected.Add($"entry {entry}", item.TextAt("time"), values);
            }

            if (entry == 0)
            {
                collected.Fault("holds no readings");
            }
        }
        catch (JsonException)
        {
            collected.Fault("is cut off or not valid JSON");
        }
    }

    private static void ReadCsv(string text, Collected collected)
    {
        try
        {
            bool endsWell = text[^1] is '\n' or '\r';
            using var reader = new StringReader(text);
            using CsvDataReader csv = CsvDataReader.Create(reader, new CsvDataReaderOptions { HasHeaders = true });
            var names = Enumerable.Range(0, csv.FieldCount).Select(i => csv.GetName(i).Trim().ToLowerInvariant()).ToArray();
            int time = Array.IndexOf(names, "time");
            var columns = StationColumn.All.Select(c => (Column: c, At: Array.IndexOf(names, c.Name))).Where(c => c.At >= 0).ToArray();
            if (time < 0 || columns.Length == 0)
            {
                collected.Fault($"needs a header with time and at least one of {string.Join(", ", StationColumn.All.Select(c => c.Name))}");
                return;
            }

            bool more = csv.Read();
            while (more)
            {
                (string at, string? stamp, var values) = ReadRow(csv, time, columns, collected);
                more = csv.Read();
                if (more || endsWell)
                {
                    collected.Add(at, stamp, values);
                }
            }
        }
        catch (Exception e) when (e is CsvFormatException or CsvMissingHeadersException or ArgumentException or InvalidOperationException)
        {
            collected.Fault("is not CSV as far as can be told");
        }
    }

    private static (string At, string? Stamp, Dictionary<StationColumn, double> Values) ReadRow(
        CsvDataReader csv, int time, (StationColumn Column, int At)[] columns, Collected collected)
    {
        string at = string.Create(CultureInfo.InvariantCulture, $"line {csv.RowNumber + 1}");
        var values = new Dictionary<StationColumn, double>();
        foreach ((StationColumn column, int field) in columns)
        {
            string cell = field < csv.RowFieldCount ? csv.GetString(field).Trim() : string.Empty;
            if (cell.Length == 0)
            {
                continue;
            }

            if (double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out double value))
            {
                values[column] = value;
            }
            else
            {
                collected.Odd(at, column.Name, cell);
            }
        }

        return (at, time < csv.RowFieldCount ? csv.GetString(time).Trim() : null, values);
    }

    private sealed class Collected(string name, DateTimeZone zone)
    {
        private readonly StationReadings readings = new();
        private readonly List<string> faults = [];
        private int more;

        public void Fault(string what) => Say($"The station file {name} {what}.");

        public void Odd(string at, string column, string cell)
        {
            string shown = cell.Length > 20 ? cell[..20] + "…" : cell;
            string hint = cell.Contains(',', StringComparison.Ordinal) ? "; write a decimal point, not a comma" : string.Empty;
            Say($"{name}, {at}: {column} is \"{shown}\", not a number{hint}.");
        }

        public void Add(string at, string? stamp, Dictionary<StationColumn, double> written)
        {
            if (Time(stamp) is not { } time)
            {
                Say($"{name}, {at}: the time \"{stamp}\" is not of the form 2026-04-22T02:00Z or 2026-04-22 02:00.");
                return;
            }

            var values = new Dictionary<StationColumn, double>();
            foreach ((StationColumn column, double value) in written)
            {
                values[column] = column.Sane(value);
                if (double.IsNaN(values[column]))
                {
                    Say(string.Create(CultureInfo.InvariantCulture, $"{name}, {at}: {column.Name} is {value:0.##}, which cannot be, and counts as missing."));
                }
            }

            if (!readings.TryAdd(time, values))
            {
                Say($"{name}, {at}: the time does not follow on the line before and is passed over.");
            }
        }

        public Result Result()
        {
            if (more > 0)
            {
                faults.Add(string.Create(CultureInfo.InvariantCulture, $"{name} has {more} more such lines."));
            }

            return new Result(readings, faults);
        }

        private Instant? Time(string? stamp)
        {
            if (stamp is null)
            {
                return null;
            }

            foreach (OffsetDateTimePattern pattern in ExactPatterns)
            {
                if (pattern.Parse(stamp) is { Success: true } exact)
                {
                    return exact.Value.ToInstant();
                }
            }

            foreach (LocalDateTimePattern pattern in LocalPatterns)
            {
                if (pattern.Parse(stamp) is { Success: true } local)
                {
                    ZoneLocalMapping mapping = zone.MapLocal(local.Value);
                    return mapping.Count switch
                    {
                        0 => null,
                        2 when readings.Last is { } last && mapping.First().ToInstant() <= last => mapping.Last().ToInstant(),
                        _ => mapping.First().ToInstant(),
                    };
                }
            }

            return null;
        }

        private void Say(string sentence)
        {
            if (faults.Count < MostFaults)
            {
                faults.Add(sentence);
            }
            else
            {
                more++;
            }
        }
    }
}

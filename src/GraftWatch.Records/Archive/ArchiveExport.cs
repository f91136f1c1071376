using System.Data.Common;
using System.Text.Encodings.Web;
using System.Text.Json;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Grafts;
using GraftWatch.Records.Growers;
using GraftWatch.Records.Ledger;
using GraftWatch.Records.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Records.Archive;

/// <summary>Writes everything as one JSON document; the same store gives the same bytes.</summary>
internal static class ArchiveExport
{
    // Umlauts and quotation marks stay readable; the file is never part of a web page.
    private static readonly JsonWriterOptions Layout = new() { Indented = true, IndentSize = 1, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <param name="session">The unchanging picture.</param>
    /// <param name="stream">Where to.</param>
    /// <param name="only">The one grower it is about, with their places; null for everything. Job runs and tallies are the installation's and left out then.</param>
    public static async Task<bool> WriteAsync(SqlSession session, Stream stream, string? only = null)
    {
        // A unit of work may run again from the start.
        stream.SetLength(0);
        var writer = new Utf8JsonWriter(stream, Layout);
        await using (writer.ConfigureAwait(false))
        {
            writer.WriteStartObject();
            writer.WriteString("format", ArchiveDocument.FormatName);
            writer.WriteNumber("version", ArchiveDocument.NewestVersion);
            writer.WriteString("lettersForgottenBefore", await StoreNotes.ReadAsync(session, LetterLedger.ForgottenBefore).ConfigureAwait(false));
            Dictionary<string, Grower> details = (await GrowerRecords.LoadGrowersAsync(session).ConfigureAwait(false)).Where(grower => only is null || grower.Name == only).ToDictionary(grower => grower.Name, StringComparer.Ordinal);
            HashSet<string>? own = only is null ? null : [.. details.Values.SelectMany(grower => grower.Places)];
            IReadOnlyList<Place> places = [.. (await GrowerRecords.LoadPlacesAsync(session).ConfigureAwait(false)).Where(place => own?.Contains(place.Name) ?? true)];
            await WriteArrayAsync(writer, "places", places, place => Task.FromResult(Map(place)), (w, p) => JsonSerializer.Serialize(w, p, ArchiveJson.Default.ArchivePlace)).ConfigureAwait(false);
            List<(long Id, string Name, int LastNumber)> growers = await session.ListAsync(reader => (reader.GetInt64(0), reader.GetString(1), reader.Whole(2)), "SELECT id, name, last_number FROM grower WHERE CAST(@only AS TEXT) IS NULL OR name = @only ORDER BY name", ("@only", only)).ConfigureAwait(false);
            await WriteArrayAsync(writer, "growers", growers, grower => GrowerAsync(session, grower.Id, grower.Name, grower.LastNumber, details), (w, g) => JsonSerializer.Serialize(w, g, ArchiveJson.Default.ArchiveGrower)).ConfigureAwait(false);
            string? address = only is null ? null : details.GetValueOrDefault(only)?.Address ?? string.Empty;
            await WriteArrayAsync(writer, "people", await ArchivePeople.LoadAsync(session, address).ConfigureAwait(false), Task.FromResult, (w, p) => JsonSerializer.Serialize(w, p, ArchiveJson.Default.ArchivePerson)).ConfigureAwait(false);
            List<ArchiveSeries> joined = await session.ListAsync(
                reader => new ArchiveSeries(reader.GetString(0), reader.GetString(1), reader.GetString(2), At(reader, 3), At(reader, 4), At(reader, 5)),
                "SELECT place, source, credit, issued_at, first_hour_end, last_hour_end FROM weather_series ORDER BY place").ConfigureAwait(false);
            joined.RemoveAll(one => own?.Contains(one.Place) == false);
            await WriteArrayAsync(writer, "series", joined, Task.FromResult, (w, s) => JsonSerializer.Serialize(w, s, ArchiveJson.Default.ArchiveSeries)).ConfigureAwait(false);
            List<(string Place, string Source)> series = await session.ListAsync(reader => (reader.GetString(0), reader.GetString(1)), "SELECT DISTINCT place, source FROM weather_day ORDER BY place, source").ConfigureAwait(false);
            series.RemoveAll(one => own?.Contains(one.Place) == false);
            writer.WriteStartArray("weather");
            foreach ((string place, string source) in series)
            {
                foreach (ArchiveWeatherDay day in await WeatherAsync(session, place, source).ConfigureAwait(false))
                {
                    JsonSerializer.Serialize(writer, day, ArchiveJson.Default.ArchiveWeatherDay);
                }

                await writer.FlushAsync(session.CancellationToken).ConfigureAwait(false);
            }

            writer.WriteEndArray();
            List<ArchiveJobRun> jobs = await session.ListAsync(
                reader => new ArchiveJobRun(reader.GetString(0), At(reader, 1), At(reader, 2), AtOrNull(reader, 3), reader.Flag(4), reader.GetString(5)),
                "SELECT job, due_at, started_at, ended_at, good, detail FROM job_run WHERE CAST(@only AS TEXT) IS NULL ORDER BY job, due_at", ("@only", only)).ConfigureAwait(false);
            await WriteArrayAsync(writer, "jobs", jobs, Task.FromResult, (w, j) => JsonSerializer.Serialize(w, j, ArchiveJson.Default.ArchiveJobRun)).ConfigureAwait(false);
            List<ArchiveTally> tallies = await session.ListAsync(
                reader => new ArchiveTally(reader.GetString(0), At(reader, 1), reader.GetDouble(2), reader.GetDouble(3), reader.GetDouble(4), AtOrNull(reader, 5), reader.GetString(6)),
                "SELECT host, counted_at, minute_used, hour_used, day_used, not_before, why FROM request_tally WHERE CAST(@only AS TEXT) IS NULL ORDER BY host", ("@only", only)).ConfigureAwait(false);
            await WriteArrayAsync(writer, "tallies", tallies, Task.FromResult, (w, t) => JsonSerializer.Serialize(w, t, ArchiveJson.Default.ArchiveTally)).ConfigureAwait(false);
            writer.WriteEndObject();
        }

        stream.WriteByte((byte)'\n');
        return true;
    }

    private static async Task WriteArrayAsync<TRow, TItem>(Utf8JsonWriter writer, string name, IReadOnlyList<TRow> rows, Func<TRow, Task<TItem>> map, Action<Utf8JsonWriter, TItem> write)
    {
        writer.WriteStartArray(name);
        foreach (TRow row in rows)
        {
            write(writer, await map(row).ConfigureAwait(false));
            await writer.FlushAsync().ConfigureAwait(false);
        }

        writer.WriteEndArray();
    }

    private static async Task<ArchiveGrower> GrowerAsync(SqlSession session, long id, string name, int lastNumber, Dictionary<string, Grower> details)
    {
        ArchiveGrowerDetail? detail = details.TryGetValue(name, out Grower? grower)
            ? new ArchiveGrowerDetail(grower.Address, grower.Zone.Id, Time(grower.LetterTime)!, Stored.Word(grower.Units), [.. grower.Places], Map(grower))
            : null;
        IReadOnlyList<GrowerChannel> channels = await GrowerRecords.LoadChannelsAsync(session, name).ConfigureAwait(false);
        List<Graft> grafts = await GraftRows.LoadAsync(session, name).ConfigureAwait(false);
        List<ArchiveNote> notes = await session.ListAsync(
            reader => new ArchiveNote(reader.GetString(0), At(reader, 1), reader.GetString(2), reader.NumberOrNull(3), reader.GetString(4), At(reader, 5), AtOrNull(reader, 6)),
            "SELECT label, at, kind, amount, words, noted_at, undone_at FROM observation WHERE grower_id = @id ORDER BY at, id",
            ("@id", id)).ConfigureAwait(false);
        List<ArchiveSaid> said = await session.ListAsync(
            reader => new ArchiveSaid(reader.GetString(0), reader.GetString(1), reader.GetString(2), reader.GetString(3), reader.GetString(4), At(reader, 5), reader.GetString(6)),
            "SELECT action, hazard, label, first_said, last_said, said_at, level FROM said WHERE grower_id = @id ORDER BY action, hazard, label",
            ("@id", id)).ConfigureAwait(false);
        return new ArchiveGrower(
            name,
            lastNumber,
            detail,
            [.. channels.Select(channel => new ArchiveChannel(channel.Name, channel.Kind, channel.Target, channel.Morning, channel.Urgent, Time(channel.HeldFrom), Time(channel.HeldTo)))],
            [.. grafts.Select(Map)],
            [.. notes],
            [.. said],
            await AnswersAsync(session, id).ConfigureAwait(false),
            await LettersAsync(session, id).ConfigureAwait(false),
            await session.FirstAsync(reader => new ArchiveStop(At(reader, 0), reader.GetString(1)), session.Command("SELECT stopped_at, stopped_by FROM grower_stop WHERE grower_id = @id", ("@id", id))).ConfigureAwait(false),
            await ArchivePeople.FeedAsync(session, id).ConfigureAwait(false),
            await ArchivePeople.LinesAsync(session, id).ConfigureAwait(false));
    }

    private static async Task<ArchiveAnswer[]> AnswersAsync(SqlSession session, long grower)
    {
        List<(long Answer, string Label)> labels = await session.ListAsync(
            reader => (reader.GetInt64(0), reader.GetString(1)),
            "SELECT t.answer_id, t.label FROM answer_graft t JOIN answer a ON a.id = t.answer_id WHERE a.grower_id = @id ORDER BY t.answer_id, t.label",
            ("@id", grower)).ConfigureAwait(false);
        ILookup<long, string> byAnswer = labels.ToLookup(row => row.Answer, row => row.Label);
        List<ArchiveAnswer> answers = await session.ListAsync(
            reader => new ArchiveAnswer(reader.GetString(1), reader.GetString(2), [.. byAnswer[reader.GetInt64(0)]], reader.GetString(3), TextOrNull(reader, 4), At(reader, 5), TextOrNull(reader, 6), AtOrNull(reader, 7)),
            "SELECT id, action, hazard, state, until, at, answered_on, undone_at FROM answer WHERE grower_id = @id ORDER BY at, id",
            ("@id", grower)).ConfigureAwait(false);
        return [.. answers];
    }

    private static async Task<ArchiveLetter[]> LettersAsync(SqlSession session, long grower)
    {
        List<(long Letter, ArchiveTry Try)> tries = await session.ListAsync(
            reader => (reader.GetInt64(0), new ArchiveTry(At(reader, 1), reader.GetString(2), reader.GetString(3), reader.GetString(4))),
            "SELECT t.letter_id, t.at, t.outcome, t.reason, t.detail FROM letter_try t JOIN letter l ON l.id = t.letter_id WHERE l.grower_id = @id ORDER BY t.letter_id, t.number",
            ("@id", grower)).ConfigureAwait(false);
        ILookup<long, ArchiveTry> byLetter = tries.ToLookup(row => row.Letter, row => row.Try);
        List<ArchiveLetter> letters = await session.ListAsync(
            reader => new ArchiveLetter(
                reader.GetString(1),
                reader.GetString(2),
                reader.Whole(3),
                reader.Whole(4),
                reader.GetString(5),
                reader.GetString(6),
                reader.GetString(7),
                reader.Bytes(8),
                At(reader, 9),
                reader.GetString(10),
                AtOrNull(reader, 11),
                reader.GetString(12),
                AtOrNull(reader, 13),
                [.. byLetter[reader.GetInt64(0)]],
                reader.GetString(14),
                AtOrNull(reader, 15),
                reader.IsDBNull(16) ? null : new ArchiveLetGo(reader.GetInt64(16), reader.Bytes(17))),
            $"SELECT l.id, l.local_date, l.kind, l.ordinal, l.number, l.message_id, l.recipient, l.subject, {LetterRows.Bytes}, l.sealed_at, l.state, l.last_try_at, l.last_detail, l.next_try_at, l.channel, l.useful_until, l.bytes_let_go, l.bytes_hash FROM letter l WHERE l.grower_id = @id ORDER BY l.number, l.channel",
            ("@id", grower)).ConfigureAwait(false);
        return [.. letters];
    }

    private static async Task<List<ArchiveWeatherDay>> WeatherAsync(SqlSession session, string place, string source)
    {
        List<(string Day, byte[] Columns, string SavedAt)> rows = await session.ListAsync(
            reader => (reader.GetString(0), reader.Bytes(1), At(reader, 2)),
            "SELECT day, columns, saved_at FROM weather_day WHERE place = @place AND source = @source ORDER BY day",
            ("@place", place),
            ("@source", source)).ConfigureAwait(false);
        var days = new List<ArchiveWeatherDay>(rows.Count);
        foreach ((string day, byte[] stored, string savedAt) in rows)
        {
            // A damaged day is a gap here as it is everywhere.
            if (DayColumns.TryDecode(stored) is { } columns)
            {
                days.Add(new ArchiveWeatherDay(place, source, day, savedAt, [.. columns.Known.Select(quantity => Map(columns, quantity))]));
            }
        }

        return days;
    }

    private static ArchiveColumn Map(DayColumns day, Microclimate.Weather.WeatherQuantity quantity)
    {
        var hours = Enumerable.Range(0, DayColumns.Hours).Select(hour => day[quantity, hour]).ToArray();
        return new ArchiveColumn(
            Stored.Word(quantity),
            [.. hours.Select(hour => Stored.Word(hour.Origin))],
            [.. hours.Select(hour => double.IsFinite(hour.Value) ? hour.Value : (double?)null)]);
    }

    private static ArchiveWishes Map(Grower grower) =>
        new(grower.Wishes.MostADay, Time(grower.Wishes.HoldFrom), Time(grower.Wishes.HoldUntil), grower.Wishes.FrostPasses, grower.Picture, grower.Calendar);

    private static ArchivePlace Map(Place place) => new(
        place.Name,
        place.Site.LatitudeDeg,
        place.Site.LongitudeDeg,
        place.Site.ElevationM,
        place.Site.GroundAlbedoFrac,
        place.Site.RoughnessM,
        place.Site.ShelterWindFrac,
        place.Site.FrostOffsetK,
        [.. place.Site.HorizonDeg],
        place.Site.AvailableSoilWaterMm,
        place.Zone.Id,
        [.. place.Assumed]);

    private static ArchiveGraft Map(Graft graft) => new(
        graft.Label,
        graft.Place,
        graft.Block,
        graft.Row,
        graft.Tree,
        graft.Species,
        graft.Scion,
        graft.Stock,
        Stored.Word(graft.Technique),
        Stored.Date(graft.Made),
        graft.Count,
        graft.AspectDeg,
        graft.TiltDeg,
        graft.HeightM,
        graft.DiameterM,
        graft.Cover,
        graft.CoverVented,
        graft.Tie,
        graft.Seal,
        graft.ShootM,
        graft.Bbch,
        graft.NurseBuds,
        Stored.Word(graft.Support),
        graft.Notes,
        [.. graft.Assumed]);

    internal static string At(DbDataReader reader, int column) => ArchiveText.Instant(reader.GetInt64(column));

    internal static string? AtOrNull(DbDataReader reader, int column) => reader.IsDBNull(column) ? null : At(reader, column);

    private static string? TextOrNull(DbDataReader reader, int column) => reader.IsDBNull(column) ? null : reader.GetString(column);

    private static string? Time(LocalTime? time) => time is { } known ? LocalTimePattern.ExtendedIso.Format(known) : null;
}

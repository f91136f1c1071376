using System.Text.Json;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Records.Engine;

namespace GraftWatch.Records.Archive;

/// <summary>What the pages keep, out and in.</summary>
internal static class ArchivePeople
{
    /// <summary>All addresses, or one.</summary>
    public static Task<List<ArchivePerson>> LoadAsync(SqlSession session, string? address) => session.ListAsync(
        reader => new ArchivePerson(reader.GetString(0), reader.IsDBNull(1) ? null : reader.GetString(1), ArchiveExport.AtOrNull(reader, 2), ArchiveExport.AtOrNull(reader, 3)),
        "SELECT address, language, asked_at, confirmed_at FROM person WHERE CAST(@only AS TEXT) IS NULL OR address = lower(@only) ORDER BY address",
        ("@only", address));

    public static Task<ArchiveFeed?> FeedAsync(SqlSession session, long grower) => session.FirstAsync(
        reader => new ArchiveFeed(reader.Whole(0), ArchiveExport.At(reader, 1), ArchiveExport.AtOrNull(reader, 2)),
        session.Command("SELECT number, renewed_at, closed_at FROM feed WHERE grower_id = @id", ("@id", grower)));

    public static async Task<ArchiveLine[]> LinesAsync(SqlSession session, long grower) =>
    [
        .. await session.ListAsync(
            reader => new ArchiveLine(
                reader.GetString(0), reader.GetString(1), ArchiveExport.At(reader, 2), reader.Whole(3), reader.GetString(4), reader.GetString(5), reader.GetString(6), List(reader.GetString(7)), List(reader.GetString(8)), reader.GetString(9)),
            "SELECT advice, said_on, said_at, position, action, hazard, level, materials, labels, words FROM advice_line WHERE grower_id = @id ORDER BY advice",
            ("@id", grower)).ConfigureAwait(false),
    ];

    public static Task SaveAsync(SqlSession session, ArchivePerson[] people) => session.ExecuteManyAsync(
        "INSERT INTO person (address, language, asked_at, confirmed_at) VALUES (@address, @language, @asked, @confirmed)",
        people,
        person => [("@address", person.Address), ("@language", person.Language), ("@asked", ArchiveText.TicksOrNull(person.AskedAt)), ("@confirmed", ArchiveText.TicksOrNull(person.ConfirmedAt))]);

    public static async Task SaveAsync(SqlSession session, long id, ArchiveGrower grower)
    {
        if (grower.Feed is { } feed)
        {
            await session.ExecuteAsync(
                "INSERT INTO feed (grower_id, number, renewed_at, closed_at) VALUES (@id, @number, @renewed, @closed)",
                ("@id", id),
                ("@number", feed.Number),
                ("@renewed", ArchiveText.Ticks(feed.RenewedAt)),
                ("@closed", ArchiveText.TicksOrNull(feed.ClosedAt))).ConfigureAwait(false);
        }

        await session.ExecuteManyAsync(
            """
            INSERT INTO advice_line (grower_id, advice, said_on, said_at, position, action, hazard, level, materials, labels, words)
            VALUES (@grower, @advice, @on, @at, @position, @action, @hazard, @level, @materials, @labels, @words)
            """,
            grower.Lines ?? [],
            line =>
            [
                ("@grower", id),
                ("@advice", line.Advice),
                ("@on", ArchiveText.Date(line.SaidOn)),
                ("@at", ArchiveText.Ticks(line.SaidAt)),
                ("@position", line.Position),
                ("@action", ArchiveText.Word<WorkAction>(line.Action)),
                ("@hazard", ArchiveText.WordOrEmpty<Hazard>(line.Hazard)),
                ("@level", ArchiveText.Word<Level>(line.Level)),
                ("@materials", JsonSerializer.Serialize(line.Materials, ColumnJson.Default.StringArray)),
                ("@labels", JsonSerializer.Serialize(line.Labels, ColumnJson.Default.StringArray)),
                ("@words", line.Words),
            ]).ConfigureAwait(false);
    }

    private static string[] List(string json) => JsonSerializer.Deserialize(json, ColumnJson.Default.StringArray) ?? [];
}

using System.Globalization;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Ledger;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace GraftWatch.Records.Housekeeping;

/// <summary>Drops what nobody needs any more. A letter that was dropped is never made again: its day is closed for good.</summary>
/// <remarks>
/// A letter's exact bytes are the largest part of a store, and are needed only while it may have to be handed over again or looked
/// at. They go first; that the letter was sealed, what it was about, its size, hash and receipts stay with its row.
/// </remarks>
public sealed class StoreHousekeeping
{
    // So many letters a transaction, so many pages a step: on a small disk nothing long holds up a receipt, and the journal stays short.
    private const int LettersAtOnce = 200;
    private const int PagesAtOnce = 1000;

    private readonly SqlEngine engine;

    internal StoreHousekeeping(SqlEngine engine) => this.engine = engine;

    /// <summary>Tidies once.</summary>
    /// <param name="today">The local day it is; dates before it are old by the days of <paramref name="keep"/>.</param>
    /// <param name="keep">How long what is kept.</param>
    /// <param name="placesOfFile">Names of places the settings file knows, whose weather is wanted though the store has nobody there.</param>
    /// <param name="cancellationToken">Stops between steps.</param>
    public async Task<TidyReport> TidyAsync(LocalDate today, Retention keep, IReadOnlyCollection<string> placesOfFile, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(keep);
        ArgumentNullException.ThrowIfNull(placesOfFile);
        LocalDate letters = today.PlusDays(-keep.LetterDays);
        Instant lettersAt = letters.AtMidnight().InUtc().ToInstant();
        TidyReport report = await engine.WriteAsync(
            async session =>
            {
                // The day is closed first: should anything below fail, nothing was dropped and nothing can be sent twice.
                await LetterLedger.ForgetBeforeAsync(session, Stored.Date(letters)).ConfigureAwait(false);
                int droppedLetters = await session.ExecuteAsync("DELETE FROM letter WHERE local_date < @date AND state <> 'waiting'", ("@date", Stored.Date(letters))).ConfigureAwait(false);
                int droppedSaid = await session.ExecuteAsync("DELETE FROM said WHERE last_said < @date", ("@date", Stored.Date(letters))).ConfigureAwait(false);
                await session.ExecuteAsync("DELETE FROM advice_line WHERE said_on < @date", ("@date", Stored.Date(letters))).ConfigureAwait(false);
                int droppedAnswers = await session.ExecuteAsync("DELETE FROM answer WHERE at < @at", ("@at", Stored.Ticks(lettersAt))).ConfigureAwait(false);
                int droppedRuns = await session.ExecuteAsync("DELETE FROM job_run WHERE due_at < @at", ("@at", Stored.Ticks(lettersAt))).ConfigureAwait(false);
                int droppedWeather = await DropWeatherAsync(session, today.PlusDays(-keep.WeatherDays)).ConfigureAwait(false);
                (int places, int growers, IReadOnlyList<string> withoutAddress) = await StrayRows.MendAsync(engine, session, placesOfFile).ConfigureAwait(false);
                return new TidyReport(droppedLetters, droppedSaid + droppedAnswers, droppedRuns, droppedWeather)
                {
                    StrayPlaces = places,
                    StrayGrowers = growers,
                    WithoutAddress = withoutAddress.Count > 0 ? StrayRows.WithoutAddressSentence(withoutAddress) : string.Empty,
                };
            },
            cancellationToken).ConfigureAwait(false);
        (int letGo, int outOfRows) = await LetGoAsync(today.PlusDays(-keep.BytesDays), cancellationToken).ConfigureAwait(false);
        report = report with { LetGo = letGo };
        if (engine is SqliteEngine file)
        {
            while (await file.AloneAsync(GiveBack, cancellationToken).ConfigureAwait(false))
            {
                cancellationToken.ThrowIfCancellationRequested();
            }

            await file.AloneAsync(
                connection =>
                {
                    if (outOfRows > LettersAtOnce)
                    {
                        WriteAnew(connection);
                    }

                    SqliteFiles.Execute(connection, "PRAGMA optimize;");
                    SqliteFiles.Execute(connection, "PRAGMA wal_checkpoint(TRUNCATE);");
                    return true;
                },
                cancellationToken).ConfigureAwait(false);
            file.Room.Fill();
        }

        return report;
    }

    /// <summary>Lets go the bytes of letters that were handed over or given up; where it is broken off, the next night goes on.</summary>
    private async Task<(int LetGo, int OutOfRows)> LetGoAsync(LocalDate before, CancellationToken cancellationToken)
    {
        // The newest morning letter of each way stays whole, however old: the next one carries its calendar on.
        const string Old =
            """
            local_date < @date AND state <> 'waiting' AND bytes_let_go IS NULL AND (kind <> 'morning' OR local_date < (
                SELECT max(n.local_date) FROM letter n WHERE n.grower_id = letter.grower_id AND n.kind = 'morning' AND n.channel = letter.channel))
            """;
        int letGo = 0, apart = 0;
        long last = -1;
        while (true)
        {
            (int done, int beside, last) = await engine.WriteAsync(
                async session =>
                {
                    List<long> old = await session.ListAsync(
                        reader => reader.GetInt64(0),
                        "SELECT id FROM letter WHERE id > @after AND " + Old + " ORDER BY id LIMIT @most",
                        ("@after", last),
                        ("@date", Stored.Date(before)),
                        ("@most", LettersAtOnce)).ConfigureAwait(false);
                    if (old.Count == 0)
                    {
                        return (0, 0, last);
                    }

                    int gone = await session.ExecuteAsync(
                        "UPDATE letter SET bytes_let_go = length(bytes) + coalesce((SELECT length(b.bytes) FROM letter_bytes b WHERE b.letter_id = letter.id), 0), bytes = @none WHERE id BETWEEN @first AND @last AND " + Old,
                        ("@none", Array.Empty<byte>()),
                        ("@first", old[0]),
                        ("@last", old[^1]),
                        ("@date", Stored.Date(before))).ConfigureAwait(false);
                    int deleted = await session.ExecuteAsync(
                        "DELETE FROM letter_bytes WHERE letter_id BETWEEN @first AND @last AND EXISTS (SELECT 1 FROM letter l WHERE l.id = letter_bytes.letter_id AND l.bytes_let_go IS NOT NULL)",
                        ("@first", old[0]),
                        ("@last", old[^1])).ConfigureAwait(false);
                    return (gone, deleted, old[^1]);
                },
                cancellationToken).ConfigureAwait(false);
            if (done == 0)
            {
                return (letGo, letGo - apart);
            }

            letGo += done;
            apart += beside;
        }
    }

    // A row that loses its bytes keeps its page to itself. Letters of today have them beside the row; a store of before is written anew once, where there is room.
    private static void WriteAnew(SqliteConnection connection)
    {
        try
        {
            SqliteFiles.Execute(connection, "VACUUM;");
        }
        catch (SqliteException notNow) when (notNow.SqliteErrorCode is SqliteFiles.Full or SqliteFiles.Busy)
        {
            // No room, or somebody reads. Nothing is lost but the room, which comes back as these letters are dropped.
        }
    }

    /// <summary>Gives some free pages back to the disk; whether there may be more.</summary>
    private static bool GiveBack(SqliteConnection connection)
    {
        long free = SqliteFiles.Number(connection, "PRAGMA freelist_count");
        if (SqliteFiles.Number(connection, "PRAGMA auto_vacuum") != 2)
        {
            // A store that cannot give single pages back is written anew when a quarter of it is empty; that needs its size once more on the disk.
            if (free * 4 > SqliteFiles.Number(connection, "PRAGMA page_count"))
            {
                SqliteFiles.Execute(connection, "VACUUM;");
            }

            return false;
        }

        // Each step gives one page back, so the statement must be run to its end.
        using (SqliteCommand command = connection.CreateCommand())
        {
            command.CommandText = string.Create(CultureInfo.InvariantCulture, $"PRAGMA incremental_vacuum({PagesAtOnce})");
            using SqliteDataReader pages = command.ExecuteReader();
            while (pages.Read())
            {
            }
        }

        long left = SqliteFiles.Number(connection, "PRAGMA freelist_count");
        return left > 0 && left < free;
    }

    private static async Task<int> DropWeatherAsync(SqlSession session, LocalDate before)
    {
        long firstHourEnd = Stored.Ticks(before.AtMidnight().InUtc().ToInstant() + Duration.FromHours(1));
        await session.ExecuteAsync("DELETE FROM weather_series WHERE last_hour_end < @first", ("@first", firstHourEnd)).ConfigureAwait(false);
        await session.ExecuteAsync("UPDATE weather_series SET first_hour_end = @first WHERE first_hour_end < @first", ("@first", firstHourEnd)).ConfigureAwait(false);
        return await session.ExecuteAsync("DELETE FROM weather_day WHERE day < @date", ("@date", Stored.Date(before))).ConfigureAwait(false);
    }
}

/// <summary>How long what is kept. Notes of growers are kept for ever.</summary>
/// <param name="LetterDays">Letters, receipts, what was said, and job runs; at least 400, a year of local dates and some.</param>
/// <param name="WeatherDays">Weather history.</param>
/// <param name="BytesDays">The exact bytes of letters that were handed over or given up; at least 14: the calendar address shows what the last letter of two weeks said.</param>
public sealed record Retention(int LetterDays = 400, int WeatherDays = 1100, int BytesDays = 14)
{
    /// <summary>What is kept where nobody says otherwise.</summary>
    public static readonly Retention Usual = new();

    /// <inheritdoc cref="Retention" path="/param[@name='LetterDays']"/>
    public int LetterDays { get; init; } = LetterDays >= 400 ? LetterDays : throw new ArgumentOutOfRangeException(nameof(LetterDays), LetterDays, "Letters are kept for at least 400 days.");

    /// <inheritdoc cref="Retention" path="/param[@name='BytesDays']"/>
    public int BytesDays { get; init; } = BytesDays >= 14 ? BytesDays : throw new ArgumentOutOfRangeException(nameof(BytesDays), BytesDays, "The bytes of letters are kept for at least 14 days.");
}

/// <summary>What was dropped.</summary>
public sealed record TidyReport(int Letters, int Said, int JobRuns, int WeatherDays)
{
    /// <summary>Letters whose bytes were let go.</summary>
    public int LetGo { get; init; }

    /// <summary>Places that no grower had.</summary>
    public int StrayPlaces { get; init; }

    /// <summary>Growers without an address of whom nothing else was kept.</summary>
    public int StrayGrowers { get; init; }

    /// <summary>A sentence about growers without an address who stay because something of theirs is kept; empty for none.</summary>
    public string WithoutAddress { get; init; } = string.Empty;
}

using GraftWatch.Records.Engine;
using GraftWatch.Records.Ledger;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace GraftWatch.Records.Housekeeping;

/// <summary>Drops what nobody needs any more. A letter that was dropped is never made again: its day is closed for good.</summary>
public sealed class StoreHousekeeping
{
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
        if (engine is SqliteEngine file)
        {
            await file.AloneAsync(
                connection =>
                {
                    GiveBack(connection);
                    SqliteFiles.Execute(connection, "PRAGMA optimize;");
                    SqliteFiles.Execute(connection, "PRAGMA wal_checkpoint(TRUNCATE);");
                    return true;
                },
                cancellationToken).ConfigureAwait(false);
            file.Room.Fill();
        }

        return report;
    }

    // A store that cannot give single pages back is written anew when a quarter of it is empty; that needs its size once more on the disk.
    private static void GiveBack(SqliteConnection connection)
    {
        long free = SqliteFiles.Number(connection, "PRAGMA freelist_count");
        if (SqliteFiles.Number(connection, "PRAGMA auto_vacuum") == 2)
        {
            // Each step gives one page back, so the statement must be run to its end.
            using SqliteCommand command = connection.CreateCommand();
            command.CommandText = "PRAGMA incremental_vacuum";
            using SqliteDataReader pages = command.ExecuteReader();
            while (pages.Read())
            {
            }
        }
        else if (free * 4 > SqliteFiles.Number(connection, "PRAGMA page_count"))
        {
            SqliteFiles.Execute(connection, "VACUUM;");
        }
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
public sealed record Retention(int LetterDays = 400, int WeatherDays = 1100)
{
    /// <inheritdoc cref="Retention" path="/param[@name='LetterDays']"/>
    public int LetterDays { get; init; } = LetterDays >= 400 ? LetterDays : throw new ArgumentOutOfRangeException(nameof(LetterDays), LetterDays, "Letters are kept for at least 400 days.");
}

/// <summary>What was dropped.</summary>
public sealed record TidyReport(int Letters, int Said, int JobRuns, int WeatherDays)
{
    /// <summary>Places that no grower had.</summary>
    public int StrayPlaces { get; init; }

    /// <summary>Growers without an address of whom nothing else was kept.</summary>
    public int StrayGrowers { get; init; }

    /// <summary>A sentence about growers without an address who stay because something of theirs is kept; empty for none.</summary>
    public string WithoutAddress { get; init; } = string.Empty;
}

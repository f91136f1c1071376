using System.Diagnostics;
using System.Globalization;
using GraftWatch.Records;
using GraftWatch.Testing;
using Microsoft.Data.Sqlite;
using Npgsql;

namespace GraftWatch.EndToEnd.Tests.Commands;

public sealed class MoveCommandTests : IDisposable
{
    private const int Letters = 50_000;
    private readonly CommandRun run = new();

    public MoveCommandTests()
    {
        Directory.CreateDirectory(Path.Combine(run.Folder, "config"));
        Write(string.Empty);
    }

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private string StoreFile => Path.Combine(run.Folder, "config", "data", "graftwatch.db");

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task Without_a_database_in_the_settings_nothing_is_moved_and_the_table_is_named()
    {
        Assert.Equal(2, await run.RunAsync("move"));
        Assert.Matches(@"graftwatch.toml: \[store\] names no PostgreSQL database.*kind = ""postgresql""", run.Messages);
    }

    [Fact]
    public async Task A_store_moves_as_a_file_to_another_machine_and_is_not_served_here_again()
    {
        Assert.Equal(0, await run.RunAsync("import", Repository.PathOf("src", "GraftWatch", "Demo", "register.csv")));
        Assert.Equal(0, await run.RunAsync("move", "--to", "away.db"));
        Assert.Contains("compared row by row", run.Results, StringComparison.Ordinal);
        Assert.Equal(1, await run.RunAsync("serve", "--listen", "off", "--watch", "off"));
        Assert.Matches("The contents of this store were moved to the file .*away.db; served from here, letters would go out twice", run.Messages);
        File.Move(Path.Combine(run.Folder, "away.db"), StoreFile, overwrite: true);
        await using SqliteStore arrived = await SqliteStore.OpenAsync(StoreFile, Stop);
        Assert.Null(await arrived.Notes.WhyNotServedAsync(Stop));
        Assert.Equal(16, (await arrived.Register.LoadGraftsAsync("Mara", Stop)).Count);
    }

    [Fact]
    public async Task A_server_that_knows_nothing_of_what_was_sent_is_not_served_beside_a_file_that_does()
    {
        PostgresServer server = PostgresServer.SharedOrSkip();
        Assert.Equal(0, await run.RunAsync("import", Repository.PathOf("src", "GraftWatch", "Demo", "register.csv")));
        Write(Server(server, server.CreateDatabase()));
        Assert.Equal(1, await run.RunAsync("serve", "--listen", "off", "--watch", "off"));
        Assert.Matches("is empty, and .*graftwatch.db holds what was sent so far.*Run graftwatch move first", run.Messages);
        Assert.Equal(0, await run.RunAsync("move"));
        Assert.Matches("database .* rows, hash [0-9a-f]{64}, the same on both sides", run.Results);
        Assert.Equal(0, await run.RunAsync("export"));
        Assert.Equal(17, run.Results.Trim().Split('\n').Length);
    }

    [Fact]
    public async Task A_hundred_thousand_rows_arrive_although_the_program_is_killed_in_the_middle_of_them()
    {
        PostgresServer server = PostgresServer.SharedOrSkip();
        string database = server.CreateDatabase();
        Assert.Equal(0, await run.RunAsync("import", Repository.PathOf("src", "GraftWatch", "Demo", "register.csv")));
        await MakeManyAsync();
        Write(Server(server, database));
        foreach (int rows in (int[])[3_000, 20_000, 41_000])
        {
            using Process mover = Program("move");
            await AtLeastAsync(database, rows, mover);
            mover.Kill();
            await mover.WaitForExitAsync(Stop);
            Assert.Equal(1, await run.RunAsync("serve", "--listen", "off", "--watch", "off"));
            Assert.Contains("only half there", run.Messages, StringComparison.Ordinal);
        }

        var watch = Stopwatch.StartNew();
        Assert.Equal(0, await run.RunAsync("move"));
        TestContext.Current.SendDiagnosticMessage($"{run.Results} the last run took {watch.Elapsed.TotalSeconds:0.0} s");
        await using var connection = new NpgsqlConnection(database);
        await connection.OpenAsync(Stop);
        await using var count = new NpgsqlCommand("SELECT (SELECT count(*) FROM letter), (SELECT count(*) FROM letter_try), (SELECT count(DISTINCT number) FROM letter), (SELECT max(number) FROM letter)", connection);
        await using NpgsqlDataReader row = await count.ExecuteReaderAsync(Stop);
        Assert.True(await row.ReadAsync(Stop));
        Assert.Equal((Letters, Letters, Letters), (row.GetInt64(0), row.GetInt64(1), row.GetInt64(2)));
    }

    private static async Task AtLeastAsync(string database, int rows, Process mover)
    {
        var waited = Stopwatch.StartNew();
        await using var connection = new NpgsqlConnection(database);
        await connection.OpenAsync(Stop);
        while (true)
        {
            try
            {
                await using var count = new NpgsqlCommand("SELECT count(*) FROM letter", connection);
                if ((long)(await count.ExecuteScalarAsync(Stop))! >= rows)
                {
                    return;
                }
            }
            catch (PostgresException notYet) when (notYet.SqlState == PostgresErrorCodes.UndefinedTable)
            {
                // The mover has not made the tables yet.
            }

            Assert.False(mover.HasExited, "the mover ended before it could be killed");
            Assert.InRange(waited.Elapsed.TotalSeconds, 0, 60);
        }
    }

    private Process Program(params string[] arguments)
    {
        var start = new ProcessStartInfo("dotnet", [Path.Combine(AppContext.BaseDirectory, "graftwatch.dll"), .. arguments]) { WorkingDirectory = run.Folder, RedirectStandardOutput = true, RedirectStandardError = true };
        return Process.Start(start)!;
    }

    private async Task MakeManyAsync()
    {
        await using var connection = new SqliteConnection($"Data Source={StoreFile};Pooling=False");
        await connection.OpenAsync(Stop);
        await using SqliteCommand command = connection.CreateCommand();
        command.CommandText = string.Create(CultureInfo.InvariantCulture, $"""
            WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < {Letters})
            INSERT INTO letter (grower_id, local_date, kind, ordinal, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, state)
            SELECT (SELECT id FROM grower), date('1880-01-01', '+' || i || ' days'), 'morning', 0, i, 'm' || i || '@x', 'a@example.org', 'No. ' || i, randomblob(600), randomblob(32), i, 'accepted' FROM n;
            INSERT INTO letter_try (letter_id, number, at, outcome, reason, detail) SELECT id, 1, sealed_at, 'accepted', 'none', '250 ok' FROM letter;
            """);
        await command.ExecuteNonQueryAsync(Stop);
    }

    private static string Server(PostgresServer server, string database) => string.Create(
        CultureInfo.InvariantCulture,
        $"""
        [store]
        kind = "postgresql"
        host = "127.0.0.1"
        port = {server.Port}
        database = "{new NpgsqlConnectionStringBuilder(database).Database}"
        user = "postgres"
        security = "plain"
        """);

    private void Write(string more) => run.Write(
        "config/graftwatch.toml",
        $"""
        [[place]]
        name = "Sorrel Bank"
        latitude = 48.02
        longitude = 9.06
        elevation = "465 m"
        zone = "Europe/Berlin"

        [[grower]]
        name = "Mara"
        address = "mara@sorrelbank.example"

        {more}
        """);
}

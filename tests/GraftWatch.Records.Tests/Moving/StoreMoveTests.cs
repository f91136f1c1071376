using GraftWatch.Records.Backups;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Moving;
using GraftWatch.Records.Tests.Contracts;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using Microsoft.Data.Sqlite;
using Npgsql;

namespace GraftWatch.Records.Tests.Moving;

/// <summary>Moves between a file store and a real PostgreSQL server.</summary>
public sealed class StoreMoveTests : IAsyncLifetime
{
    private readonly SqliteRig rig = new();
    private readonly string database = PostgresServer.SharedOrSkip().CreateDatabase();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public ValueTask InitializeAsync() => ValueTask.CompletedTask;

    public ValueTask DisposeAsync() => rig.DisposeAsync();

    [Fact]
    public async Task Everything_arrives_and_goes_on_where_it_stood()
    {
        await FillAsync();
        string before = await ArchiveOf(await SqliteStore.OpenAsync(rig.File, Stop));
        StoreMoveReport report = await MoveAsync();
        Assert.False(report.WentOn);
        Assert.InRange(report.Rows, 20, 200);
        Assert.Equal(before, await ArchiveOf(await PostgresStore.OpenAsync(database, TimeProvider.System, Stop)));

        await using PostgresStore moved = await PostgresStore.OpenAsync(database, TimeProvider.System, Stop);
        Assert.Null(await moved.Notes.WhyNotServedAsync(Stop));
        LedgerEntry waiting = Assert.Single(await moved.Ledger.LoadWaitingAsync(Stop));
        Assert.Equal(LetterKind.Urgent, waiting.Letter.Slot.Kind);
        Assert.False(await moved.Ledger.SealAsync(Sample.Letter(), Stop));
        Assert.True(await moved.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(1)), 3), Stop));
        Assert.True(await moved.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed")), Stop));
    }

    [Fact]
    public async Task The_links_of_letters_already_sent_go_on_working()
    {
        await FillAsync();
        byte[] secret;
        await using (SqliteStore store = await SqliteStore.OpenAsync(rig.File, Stop))
        {
            secret = await store.Notes.LoadSecretAsync(Stop);
        }

        await MoveAsync();
        await using PostgresStore moved = await PostgresStore.OpenAsync(database, TimeProvider.System, Stop);
        Assert.Equal(secret, await moved.Notes.LoadSecretAsync(Stop));
    }

    [Fact]
    public async Task The_source_says_where_its_contents_went_and_is_not_served_again()
    {
        await FillAsync();
        await MoveAsync();
        await using SqliteStore store = await SqliteStore.OpenAsync(rig.File, Stop);
        string why = (await store.Notes.WhyNotServedAsync(Stop))!;
        Assert.Matches(@"were moved to database t\d+_\d+ at 127.0.0.1:\d+; .*letters would go out twice.*\[store\]", why);
        Assert.True((await MoveAsync()).WentOn);
        string elsewhere = PostgresServer.SharedOrSkip().CreateDatabase();
        var refused = await Assert.ThrowsAsync<MoveFailedException>(() => new StoreMove(rig.File, elsewhere, new StoreMoveOptions()).RunAsync(Stop));
        Assert.Contains("were moved to", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Where_the_source_goes_on_sending_the_copy_sends_nothing_of_it()
    {
        await FillAsync();
        using StoreLock daemon = StoreLock.Take(rig.File);
        StoreMoveReport report = await new StoreMove(rig.File, database, new StoreMoveOptions { KeepServingSource = true, FirstLetterDate = Sample.Day.PlusDays(1) }).RunAsync(Stop);
        Assert.Equal(1, report.LettersGivenUp);
        await using SqliteStore store = await SqliteStore.OpenAsync(rig.File, Stop);
        Assert.Null(await store.Notes.WhyNotServedAsync(Stop));
        Assert.Single(await store.Ledger.LoadWaitingAsync(Stop));
        await using PostgresStore copy = await PostgresStore.OpenAsync(database, TimeProvider.System, Stop);
        Assert.Empty(await copy.Ledger.LoadWaitingAsync(Stop));
        Assert.False(await copy.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed")), Stop));
    }

    [Fact]
    public async Task A_move_that_dies_after_any_batch_or_step_goes_on_and_nobody_is_served_meanwhile()
    {
        await FillAsync();
        bool done = false;
        for (int death = 1; !done; death++)
        {
            int at = 0, last = death;
            void Die()
            {
                if (++at == last)
                {
                    throw new IOException("the process ends here");
                }
            }

            try
            {
                await new StoreMove(rig.File, database, new StoreMoveOptions { BatchRows = 3, Progress = (_, _, _) => Die(), AtStep = _ => Die() }).RunAsync(Stop);
                done = true;
            }
            catch (IOException)
            {
                await using SqliteStore from = await SqliteStore.OpenAsync(rig.File, Stop);
                await using PostgresStore to = await PostgresStore.OpenAsync(database, TimeProvider.System, Stop);
                Assert.NotNull(await to.Notes.WhyNotServedAsync(Stop));
                _ = await from.Notes.WhyNotServedAsync(Stop);
            }

            Assert.InRange(death, 0, 200);
        }

        await ComparedAsync();
    }

    [Fact]
    public async Task A_source_that_worked_on_after_a_broken_move_is_moved_from_the_beginning()
    {
        await FillAsync();
        await Assert.ThrowsAsync<IOException>(() => new StoreMove(rig.File, database, new StoreMoveOptions { AtStep = _ => throw new IOException("dies") }).RunAsync(Stop));
        await using (SqliteStore store = await SqliteStore.OpenAsync(rig.File, Stop))
        {
            await store.Ledger.RecordTryAsync(Sample.Slot(kind: LetterKind.Urgent), DeliveryResult.Accepted("250 since then"), Sample.Morning, Stop);
        }

        await MoveAsync();
        await using PostgresStore moved = await PostgresStore.OpenAsync(database, TimeProvider.System, Stop);
        Assert.Empty(await moved.Ledger.LoadWaitingAsync(Stop));
        await ComparedAsync();
    }

    [Fact]
    public async Task A_target_with_other_contents_or_another_move_is_refused_and_left_as_it_was()
    {
        await FillAsync();
        await using (PostgresStore other = await PostgresStore.OpenAsync(database, TimeProvider.System, Stop))
        {
            await other.Ledger.SealAsync(Sample.Letter(Sample.Slot("Somebody else")), Stop);
        }

        var full = await Assert.ThrowsAsync<MoveFailedException>(() => MoveAsync());
        Assert.Matches("is not empty: it has rows in [a-z_]+. Give GraftWatch an empty database", full.Message);
        await using (PostgresStore other = await PostgresStore.OpenAsync(database, TimeProvider.System, Stop))
        {
            Assert.Single(await other.Ledger.LoadWaitingAsync(Stop));
            Assert.Null(await other.Notes.WhyNotServedAsync(Stop));
        }

        string begun = PostgresServer.SharedOrSkip().CreateDatabase();
        await using (await PostgresStore.OpenAsync(begun, TimeProvider.System, Stop))
        {
            await SqlAsync(begun, "INSERT INTO store_note (name, content) VALUES ('being filled', 'abc othermachine /srv/other.db')");
        }

        var another = await Assert.ThrowsAsync<MoveFailedException>(() => new StoreMove(rig.File, begun, new StoreMoveOptions()).RunAsync(Stop));
        Assert.Contains("being filled from another store (othermachine /srv/other.db)", another.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_target_of_a_newer_program_and_a_source_in_use_are_refused()
    {
        await FillAsync();
        await (await PostgresStore.OpenAsync(database, TimeProvider.System, Stop)).DisposeAsync();
        await SqlAsync(database, "INSERT INTO schema_version (number, name, hash, applied_at) VALUES (9999, 'from-tomorrow', 'x', 0)");
        Assert.Equal(StoreRefusal.NewerStore, (await Assert.ThrowsAsync<StoreRefusedException>(() => MoveAsync())).Refusal);
        using StoreLock daemon = StoreLock.Take(rig.File);
        StoreRefusedException inUse = await Assert.ThrowsAsync<StoreRefusedException>(() => MoveAsync());
        Assert.Contains($"(process {Environment.ProcessId}). Stop it first", inUse.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_was_written_wrongly_is_found_before_anything_is_said_to_be_moved()
    {
        await FillAsync();
        await Assert.ThrowsAsync<IOException>(() => new StoreMove(rig.File, database, new StoreMoveOptions { AtStep = _ => throw new IOException("dies") }).RunAsync(Stop));
        await SqlAsync(database, "UPDATE graft SET notes = notes || '.' WHERE label = 'B3-07'");
        var failed = await Assert.ThrowsAsync<MoveFailedException>(() => MoveAsync());
        Assert.Contains("holds other values than were written", failed.Message, StringComparison.Ordinal);
        await using SqliteStore store = await SqliteStore.OpenAsync(rig.File, Stop);
        Assert.Null(await store.Notes.WhyNotServedAsync(Stop));
    }

    [Fact]
    public void Every_table_has_a_key_by_which_a_move_can_go_on()
    {
        using var connection = new SqliteConnection("Data Source=:memory:");
        connection.Open();
        foreach (Migration step in Migration.Shipped("Sqlite"))
        {
            step.Statements.ToList().ForEach(statement => SqliteFiles.Execute(connection, statement));
        }

        Assert.All(TableShape.All(connection), table => Assert.NotEmpty(table.Key));
        Assert.Contains("graft", TableShape.ParentsFirst(TableShape.All(connection)).Select(table => table.Name).SkipWhile(name => name != "grower"));
    }

    private Task<StoreMoveReport> MoveAsync() => new StoreMove(rig.File, database, new StoreMoveOptions { BatchRows = 5000 }).RunAsync(Stop);

    private async Task FillAsync()
    {
        await using SqliteStore store = await SqliteStore.OpenAsync(rig.File, Stop);
        await FilledStore.FillAsync(store, Stop, leaveOneWaiting: true);
        await store.Notes.LoadSecretAsync(Stop);
    }

    // Not by the mover's own hash: every row of every table as text from both databases.
    private async Task ComparedAsync()
    {
        await using var from = new SqliteConnection($"Data Source={rig.File};Pooling=False");
        await from.OpenAsync(Stop);
        await using var to = new NpgsqlConnection(database);
        await to.OpenAsync(Stop);
        foreach (TableShape table in TableShape.All(from).Where(table => table.Name is not ("schema_version" or "store_note")))
        {
            await using SqliteCommand read = from.CreateCommand();
            await using NpgsqlCommand readMoved = to.CreateCommand();
            read.CommandText = readMoved.CommandText = $"SELECT {table.ColumnList} FROM \"{table.Name}\" ORDER BY {table.KeyList}";
            await using SqliteDataReader rows = await read.ExecuteReaderAsync(Stop);
            await using NpgsqlDataReader moved = await readMoved.ExecuteReaderAsync(Stop);
            long count = 0;
            while (await rows.ReadAsync(Stop))
            {
                Assert.True(await moved.ReadAsync(Stop), $"{table.Name} ends after {count} rows");
                count++;
                for (int i = 0; i < rows.FieldCount; i++)
                {
                    object one = rows.GetValue(i), other = moved.GetValue(i);
                    bool same = one is byte[] bytes ? bytes.AsSpan().SequenceEqual((byte[])other) : Equals(one, other is int small ? (long)small : other);
                    Assert.True(same, $"{table.Name}.{table.Columns[i]}, row {count}: {one} and {other}");
                }
            }

            Assert.False(await moved.ReadAsync(Stop), $"{table.Name} has more rows than the source");
        }
    }

    private async Task<string> ArchiveOf(RecordsStore store)
    {
        await using (store)
        {
            string file = Path.Combine(rig.Folder, Guid.NewGuid() + ".json");
            await store.Archive.ExportAsync(file, Stop);
            return await File.ReadAllTextAsync(file, Stop);
        }
    }

    private static async Task SqlAsync(string database, string sql)
    {
        await using var connection = new NpgsqlConnection(database);
        await connection.OpenAsync(Stop);
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync(Stop);
    }
}

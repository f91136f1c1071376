using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using NodaTime;
using Npgsql;

namespace GraftWatch.Records.Tests.Stores;

public sealed class PostgresStoreTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_server_that_does_not_answer_is_named_without_the_password()
    {
        StoreRefusedException refused = await RefusedAsync("Host=127.0.0.1;Port=1;Username=graft;Password=canary-7131;Database=orchard;Timeout=5");
        Assert.Equal(StoreRefusal.Unreachable, refused.Refusal);
        Assert.Contains("database orchard at 127.0.0.1:1", refused.Message, StringComparison.Ordinal);
        Assert.DoesNotContain("canary-7131", refused.ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("Host=127.0.0.1;Colour=green")]
    [InlineData("no setting at all")]
    public async Task A_setting_that_cannot_be_read_is_refused(string setting) =>
        Assert.Equal(StoreRefusal.Unreachable, (await RefusedAsync(setting)).Refusal);

    [Fact]
    public async Task A_database_that_does_not_exist_is_refused()
    {
        StoreRefusedException refused = await RefusedAsync(PostgresServer.SharedOrSkip().ConnectionString("nowhere"));
        Assert.Equal(StoreRefusal.Unreachable, refused.Refusal);
        Assert.Contains("nowhere", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_database_with_tables_of_another_program_is_refused_and_left_as_it_was()
    {
        string database = PostgresServer.SharedOrSkip().CreateDatabase();
        await RunAsync(database, "CREATE TABLE letter (beans integer)");
        StoreRefusedException refused = await RefusedAsync(database);
        Assert.Equal(StoreRefusal.ForeignStore, refused.Refusal);
        Assert.Equal(1L, await RunAsync(database, "SELECT count(*) FROM information_schema.tables WHERE table_schema = 'public'"));
    }

    [Fact]
    public async Task A_store_that_a_newer_program_wrote_is_refused()
    {
        string database = PostgresServer.SharedOrSkip().CreateDatabase();
        await (await OpenAsync(database)).DisposeAsync();
        await RunAsync(database, "INSERT INTO schema_version (number, name, hash, applied_at) VALUES (9999, 'from-tomorrow', 'x', 0)");
        Assert.Equal(StoreRefusal.NewerStore, (await RefusedAsync(database)).Refusal);
    }

    [Fact]
    public async Task A_worker_that_stands_still_keeps_the_letter_on_its_line_and_one_that_is_gone_does_not()
    {
        string database = PostgresServer.SharedOrSkip().CreateDatabase();
        PostgresStore east = await OpenAsync(database);
        await using PostgresStore west = await OpenAsync(database);
        await east.Ledger.SealAsync(Sample.Letter(), Stop);
        ClaimedLetter held = Assert.Single(await east.Claims.ClaimAsync("east", 1, Duration.FromMilliseconds(200), Sample.Morning, Stop));
        Assert.True(await east.Claims.StartAsync(held, Duration.FromMilliseconds(200), Stop));
        await Task.Delay(TimeSpan.FromSeconds(6), Stop);
        Assert.Empty(await west.Claims.ClaimAsync("west", 1, Duration.FromMinutes(1), Sample.Morning, Stop));

        // Its connections end with the program, however it ends; the server takes a moment to notice.
        await east.DisposeAsync();
        IReadOnlyList<ClaimedLetter> taken = [];
        for (int tries = 0; taken.Count == 0 && tries < 200; tries++)
        {
            await Task.Delay(TimeSpan.FromMilliseconds(100), Stop);
            taken = await west.Claims.ClaimAsync("west", 1, Duration.FromMinutes(1), Sample.Morning, Stop);
        }

        Assert.Single(taken);
    }

    [Fact]
    public async Task Programs_that_start_together_on_a_new_database_all_open_it()
    {
        string database = PostgresServer.SharedOrSkip().CreateDatabase();
        PostgresStore[] stores = await Task.WhenAll(Enumerable.Range(0, 4).Select(_ => OpenAsync(database)));
        foreach (PostgresStore store in stores)
        {
            Assert.Empty(await store.Ledger.LoadWaitingAsync(Stop));
            await store.DisposeAsync();
        }
    }

    [Fact]
    public async Task Commits_wait_for_the_disk_whatever_the_server_is_set_to()
    {
        string database = PostgresServer.SharedOrSkip().CreateDatabase();
        await RunAsync(database, $"ALTER DATABASE {new NpgsqlConnectionStringBuilder(database).Database} SET synchronous_commit = off");
        await using PostgresStore store = await OpenAsync(database);
        Assert.Equal("on", await store.Engine.ReadAsync(session => session.TextAsync("SELECT current_setting('synchronous_commit')"), Stop));
    }

    [Fact]
    public async Task Rows_that_must_not_change_refuse_it_in_the_database_itself()
    {
        string database = PostgresServer.SharedOrSkip().CreateDatabase();
        await using PostgresStore store = await OpenAsync(database);
        await store.Ledger.SealAsync(Sample.Letter(), Stop);
        var refused = await Assert.ThrowsAsync<PostgresException>(() => RunAsync(database, "UPDATE letter SET subject = 'other'"));
        Assert.Contains("never changes", refused.MessageText, StringComparison.Ordinal);
    }

    private static Task<PostgresStore> OpenAsync(string setting) => PostgresStore.OpenAsync(setting, TimeProvider.System, Stop);

    private static Task<StoreRefusedException> RefusedAsync(string setting) => Assert.ThrowsAsync<StoreRefusedException>(() => OpenAsync(setting));

    private static async Task<object?> RunAsync(string database, string sql)
    {
        await using var connection = new NpgsqlConnection(database);
        await connection.OpenAsync(Stop);
        await using var command = new NpgsqlCommand(sql, connection);
        return await command.ExecuteScalarAsync(Stop);
    }
}

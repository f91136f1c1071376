using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Tests.Engine;

public sealed class SqliteWriterTests : IAsyncLifetime
{
    private readonly SqliteRig rig = new();
    private SqliteStore store = null!;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync() => store = (SqliteStore)await rig.OpenAsync();

    public async ValueTask DisposeAsync()
    {
        await store.DisposeAsync();
        await rig.DisposeAsync();
    }

    [Fact]
    public async Task Receipts_that_wait_together_share_a_commit()
    {
        long before = store.File.Commits;
        await Task.WhenAll(Enumerable.Range(0, 300).Select(i => store.Ledger.SealAsync(Sample.Letter(Sample.Slot($"G{i}")), Stop)));
        long commits = store.File.Commits - before;
        Assert.InRange(commits, 5, 100);
        Assert.Equal(300, (await store.Ledger.LoadWaitingAsync(Stop)).Count);
    }

    [Fact]
    public async Task A_unit_that_fails_takes_no_other_unit_down()
    {
        using var hold = new ManualResetEventSlim();
        Task first = store.Engine.WriteAsync(
            session =>
            {
                hold.Wait(Stop);
                return session.ExecuteAsync("INSERT INTO store_note (name, content) VALUES ('first', '')");
            },
            Stop);
        Task good = NoteAsync("good");
        Task bad = store.Engine.WriteAsync(session => session.ExecuteAsync("INSERT INTO no_such_table VALUES (1)"), Stop);
        Task half = store.Engine.WriteAsync(
            async session =>
            {
                await session.ExecuteAsync("INSERT INTO store_note (name, content) VALUES ('half', '')");
                throw new FormatException("the second half is wrong");
            },
            Stop);
        Task last = NoteAsync("last");
        hold.Set();

        await Task.WhenAll(first, good, last);
        await Assert.ThrowsAnyAsync<System.Data.Common.DbException>(() => bad);
        await Assert.ThrowsAsync<FormatException>(() => half);
        List<string> names = await store.Engine.ReadAsync(session => session.ListAsync(reader => reader.GetString(0), "SELECT name FROM store_note ORDER BY name"), Stop);
        Assert.Equal(["first", "good", "last"], names);
    }

    [Fact]
    public async Task A_caller_who_gives_up_while_waiting_writes_nothing()
    {
        using var hold = new ManualResetEventSlim();
        using var source = new CancellationTokenSource();
        Task<bool> first = store.Engine.WriteAsync(_ => { hold.Wait(Stop); return Task.FromResult(true); }, Stop);
        Task<bool> second = store.Ledger.SealAsync(Sample.Letter(), source.Token);
        await source.CancelAsync();
        hold.Set();
        Assert.True(await first);
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => second);
        Assert.Null(await store.Ledger.FindAsync(Sample.Slot(), Stop));
    }

    [Fact]
    public async Task Readers_go_on_while_a_writer_is_busy()
    {
        await store.Ledger.SealAsync(Sample.Letter(), Stop);
        using var hold = new ManualResetEventSlim();
        Task<bool> writing = store.Engine.WriteAsync(_ => { hold.Wait(Stop); return Task.FromResult(true); }, Stop);
        LedgerEntry?[] read = await Task.WhenAll(Enumerable.Range(0, 20).Select(_ => store.Ledger.FindAsync(Sample.Slot(), Stop))).WaitAsync(TimeSpan.FromSeconds(10), Stop);
        Assert.All(read, Assert.NotNull);
        Assert.False(writing.IsCompleted);
        hold.Set();
        await writing;
    }

    [Fact]
    public async Task A_reader_cannot_write()
    {
        var failure = await Assert.ThrowsAnyAsync<System.Data.Common.DbException>(() => store.Engine.ReadAsync(session => session.ExecuteAsync("DELETE FROM letter"), Stop));
        Assert.Contains("readonly", failure.Message, StringComparison.Ordinal);
    }

    private Task NoteAsync(string name) =>
        store.Engine.WriteAsync(session => session.ExecuteAsync("INSERT INTO store_note (name, content) VALUES (@name, '')", ("@name", name)), Stop);
}

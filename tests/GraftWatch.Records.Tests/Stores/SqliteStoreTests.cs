using GraftWatch.Records.Engine;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Tests.Stores;

public sealed class SqliteStoreTests : IAsyncLifetime
{
    private readonly SqliteRig rig = new();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public ValueTask InitializeAsync() => ValueTask.CompletedTask;

    public ValueTask DisposeAsync() => rig.DisposeAsync();

    // SQLite documentation, "PRAGMA synchronous": in WAL mode only FULL (2) makes a commit survive a power cut.
    [Fact]
    public async Task The_journal_is_WAL_with_full_syncs_and_foreign_keys()
    {
        await using SqliteStore store = await OpenAsync();
        (string mode, long synchronous, long keys, long trusted) = await store.File.AloneAsync(
            connection => (
                SqliteFiles.Text(connection, "PRAGMA journal_mode"),
                SqliteFiles.Number(connection, "PRAGMA synchronous"),
                SqliteFiles.Number(connection, "PRAGMA foreign_keys"),
                SqliteFiles.Number(connection, "PRAGMA trusted_schema")),
            Stop);
        Assert.Equal(("wal", 2L, 1L, 0L), (mode, synchronous, keys, trusted));
    }

    [Fact]
    public async Task A_store_that_a_newer_program_wrote_is_refused_and_left_as_it_was()
    {
        await (await OpenAsync()).DisposeAsync();
        Run("INSERT INTO schema_version (number, name, hash, applied_at) VALUES (9999, 'from-tomorrow', 'x', 0)");
        byte[] before = await File.ReadAllBytesAsync(rig.File, Stop);

        StoreRefusedException refused = await RefusedAsync();

        Assert.Equal(StoreRefusal.NewerStore, refused.Refusal);
        Assert.Contains("step 9999 (from-tomorrow)", refused.Message, StringComparison.Ordinal);
        Assert.Contains("Run the newer program", refused.Message, StringComparison.Ordinal);
        Assert.Equal(before, await File.ReadAllBytesAsync(rig.File, Stop));
    }

    [Fact]
    public async Task A_step_that_differs_from_the_programs_is_refused()
    {
        await (await OpenAsync()).DisposeAsync();
        Run("UPDATE schema_version SET hash = 'other' WHERE number = 1");
        Assert.Equal(StoreRefusal.ChangedMigration, (await RefusedAsync()).Refusal);
    }

    [Fact]
    public async Task The_database_of_another_program_is_refused_and_left_as_it_was()
    {
        Run("CREATE TABLE beans (id INTEGER)");
        byte[] before = await File.ReadAllBytesAsync(rig.File, Stop);
        StoreRefusedException refused = await RefusedAsync();
        Assert.Equal(StoreRefusal.ForeignStore, refused.Refusal);
        Assert.Equal(before, await File.ReadAllBytesAsync(rig.File, Stop));
    }

    [Fact]
    public async Task A_file_that_is_no_database_is_refused()
    {
        await File.WriteAllTextAsync(rig.File, string.Concat(Enumerable.Repeat("label,place,block\n", 400)), Stop);
        Assert.Equal(StoreRefusal.ForeignStore, (await RefusedAsync()).Refusal);
    }

    [Fact]
    public async Task A_damaged_page_is_found_at_start()
    {
        await using (SqliteStore store = await OpenAsync())
        {
            for (int i = 1; i <= 200; i++)
            {
                await store.Ledger.SealAsync(Sample.Letter(Sample.Slot($"G{i}"), bodyBytes: 3000), Stop);
            }
        }

        await using (FileStream file = new(rig.File, FileMode.Open, FileAccess.ReadWrite))
        {
            // Overwrites page headers in the middle of the file; length and header stay right.
            for (long page = 20; page < file.Length / 4096; page++)
            {
                file.Position = page * 4096;
                file.Write([0xEE, 0xEE, 0xEE, 0xEE, 0xEE, 0xEE, 0xEE, 0xEE]);
            }
        }

        StoreRefusedException refused = await RefusedAsync();
        Assert.Equal(StoreRefusal.Damaged, refused.Refusal);
        Assert.Contains("Restore the newest backup", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_folder_that_cannot_be_written_is_refused_with_advice()
    {
        // The superuser may write into any ordinary folder; sysfs takes no new files from anybody.
        string folder = Environment.IsPrivilegedProcess ? "/sys" : Directory.CreateDirectory(Path.Combine(rig.Folder, "locked")).FullName;
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Needs Linux file permissions.");
        if (!Environment.IsPrivilegedProcess && !OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(folder, UnixFileMode.UserRead | UnixFileMode.UserExecute);
        }

        StoreRefusedException refused = await Assert.ThrowsAsync<StoreRefusedException>(() => SqliteStore.OpenAsync(Path.Combine(folder, "store.db"), Stop));
        Assert.Equal(StoreRefusal.NotWritable, refused.Refusal);
        Assert.Contains("Check that the folder exists", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_folder_below_a_file_is_refused()
    {
        await File.WriteAllTextAsync(rig.File, "x", Stop);
        StoreRefusedException refused = await Assert.ThrowsAsync<StoreRefusedException>(() => SqliteStore.OpenAsync(Path.Combine(rig.File, "sub", "store.db"), Stop));
        Assert.Equal(StoreRefusal.NotWritable, refused.Refusal);
    }

    [Fact]
    public async Task The_folder_of_a_new_store_is_made()
    {
        await using SqliteStore store = await SqliteStore.OpenAsync(Path.Combine(rig.Folder, "a", "b", "store.db"), Stop);
        Assert.True(File.Exists(store.Path));
    }

    [Fact]
    public async Task A_full_disk_fails_the_write_keeps_what_was_committed_and_heals()
    {
        int sealedLetters = 0;
        await using (SqliteStore small = await SqliteStore.OpenAsync(rig.File, new SqliteStoreOptions { MaxPages = 120 }, Stop))
        {
            SqliteException full = await Assert.ThrowsAsync<SqliteException>(async () =>
            {
                for (int i = 1; ; i++)
                {
                    Assert.True(await small.Ledger.SealAsync(Sample.Letter(Sample.Slot($"G{i}"), bodyBytes: 6000), Stop));
                    sealedLetters = i;
                }
            });
            Assert.Equal(13, full.SqliteErrorCode);
            Assert.InRange(sealedLetters, 5, 120);
            Assert.Equal(sealedLetters, (await small.Ledger.LoadWaitingAsync(Stop)).Count);
        }

        await using SqliteStore roomy = await OpenAsync();
        Assert.Equal(sealedLetters, (await roomy.Ledger.LoadWaitingAsync(Stop)).Count);
        Assert.True(await roomy.Ledger.SealAsync(Sample.Letter(Sample.Slot("after"), bodyBytes: 6000), Stop));
        Assert.Null(await roomy.File.FindDamageAsync(thorough: true, Stop));
    }

    [Fact]
    public async Task Rows_that_must_not_change_refuse_it_in_the_database_itself()
    {
        await using SqliteStore store = await OpenAsync();
        await store.Ledger.SealAsync(Sample.Letter(), Stop);
        await store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft()], Stop);
        await store.Keeper.ObserveAsync(Sample.Grower, new("B3-07", Sample.Morning, Aftercare.Grafts.ObservationKind.Dead), "dead", Sample.Morning, Stop);
        Assert.Contains("never changes", Assert.Throws<SqliteException>(() => Run("UPDATE letter SET subject = 'other'")).Message, StringComparison.Ordinal);
        Assert.Contains("only added to", Assert.Throws<SqliteException>(() => Run("UPDATE observation SET kind = 'leaf-out'")).Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("UPDATE letter SET bytes = x'00'")]
    [InlineData("UPDATE letter SET bytes_let_go = 9")]
    [InlineData("UPDATE letter SET bytes = x'00', bytes_let_go = (SELECT length(bytes) FROM letter_bytes)")]
    [InlineData("UPDATE letter SET bytes_let_go = length(bytes)")]
    [InlineData("UPDATE letter SET bytes_let_go = (SELECT length(bytes) FROM letter_bytes), subject = 'other'")]
    [InlineData("DELETE FROM letter_bytes")]
    [InlineData("UPDATE letter_bytes SET bytes = x''")]
    public async Task Bytes_of_a_letter_go_whole_and_are_counted_or_stay(string sql)
    {
        const string LetGo = "UPDATE letter SET bytes_let_go = (SELECT length(bytes) FROM letter_bytes); DELETE FROM letter_bytes";
        await using SqliteStore store = await OpenAsync();
        await store.Ledger.SealAsync(Sample.Letter(), Stop);
        Assert.Contains("never changes", Assert.Throws<SqliteException>(() => Run(LetGo)).Message, StringComparison.Ordinal);
        await store.Ledger.RecordTryAsync(Sample.Slot(), Rounds.Ports.DeliveryResult.Accepted("250"), Sample.Morning, Stop);
        Assert.Contains("never changes", Assert.Throws<SqliteException>(() => Run(sql)).Message, StringComparison.Ordinal);
        Run(LetGo);
        Assert.Contains("never changes", Assert.Throws<SqliteException>(() => Run(LetGo)).Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)] // as a program sealed them that kept the bytes in the row
    public async Task A_store_full_of_old_letters_shrinks_in_one_night_step_by_step(bool inRows)
    {
        const int Letters = 250, Size = 32_000;
        await using SqliteStore store = await OpenAsync();
        var random = new Random(5);
        for (int number = 1; number <= Letters; number++)
        {
            byte[] bytes = new byte[Size];
            random.NextBytes(bytes);
            Rounds.Ports.LetterSlot slot = Sample.Slot(date: Sample.Day.PlusDays(number));
            await store.Ledger.SealAsync(Sample.Letter(slot, number) with { Bytes = bytes }, Stop);
            await store.Ledger.RecordTryAsync(slot, Rounds.Ports.DeliveryResult.Accepted("250"), Sample.Morning, Stop);
        }

        if (inRows)
        {
            Run("DROP TRIGGER letter_lets_go_once; UPDATE letter SET bytes = (SELECT b.bytes FROM letter_bytes b WHERE b.letter_id = id); DROP TRIGGER letter_bytes_go_when_let_go; DELETE FROM letter_bytes");
        }

        await store.House.TidyAsync(Sample.Day, Housekeeping.Retention.Usual, [], Stop);
        long before = new FileInfo(store.Path).Length;
        Assert.InRange(before, Letters * Size, long.MaxValue);
        Assert.Equal(Letters - 1, (await store.House.TidyAsync(Sample.Day.PlusDays(300), Housekeeping.Retention.Usual, [], Stop)).LetGo);
        Assert.InRange(new FileInfo(store.Path).Length, 1, before / 15);
        Assert.Null(await store.File.FindDamageAsync(thorough: true, Stop));
    }

    // What is beside the row is not written anew when the row's state changes.
    [Fact]
    public async Task A_receipt_does_not_write_the_letter_again()
    {
        const int Size = 400_000;
        await using SqliteStore store = await OpenAsync();
        await store.Ledger.SealAsync(Sample.Letter() with { Bytes = new byte[Size] }, Stop);
        await store.House.TidyAsync(Sample.Day, Housekeeping.Retention.Usual, [], Stop);
        Assert.Equal(0, new FileInfo(store.Path + "-wal").Length);
        await store.Ledger.RecordTryAsync(Sample.Slot(), Rounds.Ports.DeliveryResult.Accepted("250"), Sample.Morning, Stop);
        Assert.InRange(new FileInfo(store.Path + "-wal").Length, 1, Size / 10);
    }

    [Fact]
    public async Task A_closed_store_says_so()
    {
        SqliteStore store = await OpenAsync();
        await store.DisposeAsync();
        await store.DisposeAsync();
        await Assert.ThrowsAsync<ObjectDisposedException>(() => store.Ledger.LoadWaitingAsync(Stop));
        await Assert.ThrowsAsync<ObjectDisposedException>(() => store.Ledger.SealAsync(Sample.Letter(), Stop));
    }

    [Fact]
    public async Task An_acknowledged_letter_is_in_a_copy_of_the_files_taken_at_any_moment_after()
    {
        string copies = Directory.CreateDirectory(Path.Combine(rig.Folder, "copies")).FullName;
        await using (SqliteStore store = await OpenAsync())
        {
            for (int i = 1; i <= 20; i++)
            {
                await store.Ledger.SealAsync(Sample.Letter(Sample.Slot($"G{i}")), Stop);
                string copy = Directory.CreateDirectory(Path.Combine(copies, $"{i}")).FullName;
                foreach (string file in Directory.GetFiles(rig.Folder, "store.db*").Where(name => !name.EndsWith("-shm", StringComparison.Ordinal)))
                {
                    File.Copy(file, Path.Combine(copy, Path.GetFileName(file)));
                }
            }
        }

        for (int i = 1; i <= 20; i++)
        {
            await using SqliteStore copy = await SqliteStore.OpenAsync(Path.Combine(copies, $"{i}", "store.db"), Stop);
            Assert.Equal(i, (await copy.Ledger.LoadWaitingAsync(Stop)).Count);
        }
    }

    private Task<SqliteStore> OpenAsync() => SqliteStore.OpenAsync(rig.File, Stop);

    private Task<StoreRefusedException> RefusedAsync() => Assert.ThrowsAsync<StoreRefusedException>(OpenAsync);

    private void Run(string sql)
    {
        using var connection = new SqliteConnection($"Data Source={rig.File};Pooling=False");
        connection.Open();
        SqliteFiles.Execute(connection, sql);
    }
}

using System.Globalization;
using CsCheck;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Tests.Contracts;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace GraftWatch.Records.Tests.Backups;

public sealed class BackupTests : IAsyncLifetime
{
    private static readonly LocalDate Resume = Sample.Day.PlusDays(1);
    private static readonly Instant Later = Sample.Morning + Duration.FromHours(9);
    private readonly SqliteRig rig = new();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private string Copy => Path.Combine(rig.Folder, "copies", "copy.db");

    public ValueTask InitializeAsync() => ValueTask.CompletedTask;

    public ValueTask DisposeAsync() => rig.DisposeAsync();

    [Fact]
    public async Task A_copy_made_while_letters_are_sealed_is_whole_and_holds_everything_acknowledged_before()
    {
        await using SqliteStore store = await OpenAsync();
        await FilledStore.FillAsync(store, Stop);
        int acknowledged = 0;
        using var enough = CancellationTokenSource.CreateLinkedTokenSource(Stop);
        Task writing = Task.Run(
            async () =>
            {
                for (int i = 0; !enough.IsCancellationRequested; i++)
                {
                    await store.Ledger.SealAsync(Sample.Letter(Sample.Slot(string.Create(CultureInfo.InvariantCulture, $"G{i:00000}")), bodyBytes: 500), Stop);
                    Volatile.Write(ref acknowledged, i + 1);
                }
            },
            Stop);
        while (Volatile.Read(ref acknowledged) < 50)
        {
            await Task.Delay(5, Stop);
        }

        int before = Volatile.Read(ref acknowledged);
        BackupProof proof = await Backup.MakeAsync(store, Copy, Stop);
        int after = Volatile.Read(ref acknowledged);
        await enough.CancelAsync();
        await writing;

        Assert.Equal((Copy, new FileInfo(Copy).Length), (proof.Path, proof.Bytes));
        Assert.Equal([Copy], Directory.GetFiles(Path.GetDirectoryName(Copy)!));
        await using SqliteStore copy = await SqliteStore.OpenAsync(Copy, Stop);
        Assert.InRange((await copy.Ledger.LoadWaitingAsync(Stop)).Count, before, after + 1);
    }

    [Fact]
    public async Task Two_copies_of_the_same_store_hold_the_same_rows()
    {
        await using SqliteStore store = await OpenAsync();
        await FilledStore.FillAsync(store, Stop);
        BackupProof first = await Backup.MakeAsync(store, Copy, Stop);
        BackupProof second = await Backup.MakeAsync(store, Copy + "2", Stop);
        Assert.Equal(first.Rows, second.Rows);
        Assert.Equal(first.Sha256, second.Sha256);
        Assert.InRange(first.Rows, 20, 200);
    }

    [Fact]
    public async Task A_copy_that_cannot_be_written_is_a_failure_with_a_sentence()
    {
        await using SqliteStore store = await OpenAsync();
        await File.WriteAllTextAsync(Path.Combine(rig.Folder, "file"), "x", Stop);
        var failed = await Assert.ThrowsAsync<BackupFailedException>(() => Backup.MakeAsync(store, Path.Combine(rig.Folder, "file", "copy.db"), Stop));
        Assert.Contains("could not be made", failed.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_restored_store_never_sends_old_letters_again()
    {
        await using (SqliteStore store = await OpenAsync())
        {
            await FilledStore.FillAsync(store, Stop, leaveOneWaiting: true);
            await Backup.MakeAsync(store, Copy, Stop);
            // After the copy the waiting letter went out, and another grower got today's letter.
            await store.Ledger.RecordTryAsync(Sample.Slot(kind: LetterKind.Urgent), DeliveryResult.Accepted("250"), Later, Stop);
            await store.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed")), Stop);
            await store.Ledger.RecordTryAsync(Sample.Slot("Bo Reed"), DeliveryResult.Accepted("250"), Later, Stop);
        }

        RestoreReport report = await Backup.RestoreAsync(Copy, rig.File, Resume, Later, Stop);

        Assert.Equal(1, report.LettersGivenUp);
        await using SqliteStore restored = await OpenAsync();
        Assert.Empty(await restored.Ledger.LoadWaitingAsync(Stop));
        LedgerEntry urgent = (await restored.Ledger.FindAsync(Sample.Slot(kind: LetterKind.Urgent), Stop))!;
        Assert.Equal((LetterState.GivenUp, "not sent: restored"), (urgent.State, urgent.LastDetail));
        Assert.False(await restored.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed")), Stop));
        Assert.True(await restored.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed", Resume)), Stop));
        Assert.Equal(2, (await restored.Register.LoadGraftsAsync(Sample.Grower, Stop)).Count);

        await using SqliteStore before = await SqliteStore.OpenAsync(report.Before!, Stop);
        Assert.Equal(LetterState.Accepted, (await before.Ledger.FindAsync(Sample.Slot("Bo Reed"), Stop))!.State);
    }

    [Fact]
    public async Task A_restore_over_a_store_whose_journal_was_left_behind_mixes_nothing()
    {
        await using (SqliteStore store = await OpenAsync())
        {
            await store.Ledger.SealAsync(Sample.Letter(), Stop);
            await Backup.MakeAsync(store, Copy, Stop);
            await store.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed")), Stop);
            File.Copy(rig.File + "-wal", rig.File + "-left");
        }

        File.Move(rig.File + "-left", rig.File + "-wal", overwrite: true);
        RestoreReport report = await Backup.RestoreAsync(Copy, rig.File, Resume, Later, Stop);
        await using SqliteStore restored = await OpenAsync();
        Assert.Null(await restored.Ledger.FindAsync(Sample.Slot("Bo Reed"), Stop));
        Assert.NotNull(await restored.Ledger.FindAsync(Sample.Slot(), Stop));
        Assert.NotNull(report.Before);
    }

    [Fact]
    public async Task A_restore_works_where_there_is_no_store_yet()
    {
        await using (SqliteStore store = await OpenAsync())
        {
            await FilledStore.FillAsync(store, Stop);
            await Backup.MakeAsync(store, Copy, Stop);
        }

        string elsewhere = Path.Combine(rig.Folder, "new", "store.db");
        Directory.CreateDirectory(Path.GetDirectoryName(elsewhere)!);
        Assert.Equal(new RestoreReport(0, null), await Backup.RestoreAsync(Copy, elsewhere, Resume, Later, Stop));
        await using SqliteStore restored = await SqliteStore.OpenAsync(elsewhere, Stop);
        Assert.Equal(2, (await restored.Register.LoadGraftsAsync(Sample.Grower, Stop)).Count);
    }

    [Fact]
    public async Task A_bad_copy_leaves_the_store_as_it_was()
    {
        await using (SqliteStore store = await OpenAsync())
        {
            await FilledStore.FillAsync(store, Stop);
            await Backup.MakeAsync(store, Copy, Stop);
        }

        byte[] before = await File.ReadAllBytesAsync(rig.File, Stop);
        byte[] good = await File.ReadAllBytesAsync(Copy, Stop);
        byte[] damaged = [.. good];
        damaged.AsSpan(good.Length / 2, 4096).Fill(0xEE);
        await File.WriteAllBytesAsync(Path.Combine(rig.Folder, "damaged.db"), damaged, Stop);
        await File.WriteAllBytesAsync(Path.Combine(rig.Folder, "short.db"), good[..(good.Length / 2)], Stop);
        await File.WriteAllTextAsync(Path.Combine(rig.Folder, "text.db"), "label,place\n", Stop);
        await File.WriteAllBytesAsync(Path.Combine(rig.Folder, "empty.db"), [], Stop);
        foreach (string name in (string[])["damaged.db", "short.db", "text.db", "empty.db", "absent.db"])
        {
            Exception failed = await Assert.ThrowsAnyAsync<Exception>(() => Backup.RestoreAsync(Path.Combine(rig.Folder, name), rig.File, Resume, Later, Stop));
            Assert.True(failed is BackupFailedException or StoreRefusedException, $"{name}: {failed}");
            Assert.Equal(before, await File.ReadAllBytesAsync(rig.File, Stop));
        }

        Assert.DoesNotContain(Directory.GetFiles(rig.Folder), file => file.Contains(".new", StringComparison.Ordinal) || file.Contains(".before", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_store_in_use_is_not_restored()
    {
        await using (SqliteStore store = await OpenAsync())
        {
            await Backup.MakeAsync(store, Copy, Stop);
        }

        using StoreLock held = StoreLock.Take(rig.File);
        var refused = await Assert.ThrowsAsync<StoreRefusedException>(() => Backup.RestoreAsync(Copy, rig.File, Resume, Later, Stop));
        Assert.Equal(StoreRefusal.InUse, refused.Refusal);
    }

    [Fact]
    public void The_lock_of_a_store_has_one_holder_at_a_time()
    {
        using (StoreLock first = StoreLock.Take(rig.File))
        {
            Assert.Equal(StoreRefusal.InUse, Assert.Throws<StoreRefusedException>(() => StoreLock.Take(rig.File)).Refusal);
        }

        using StoreLock second = StoreLock.Take(rig.File);
    }

    [Fact]
    public async Task A_shelf_keeps_the_last_seven_days_and_a_copy_of_each_of_four_weeks_before()
    {
        await using SqliteStore store = await OpenAsync();
        var shelf = new BackupShelf(Path.Combine(rig.Folder, "shelf"));
        LocalDate first = new(2027, 3, 1);
        for (int i = 0; i < 20; i++)
        {
            await shelf.KeepAsync(store, first.PlusDays(i), Stop);
        }

        // 20 days end on Saturday 20 March; the newest seven are 14 to 20; before them the Sundays 7 March and, of its own week, Saturday 13 March.
        Assert.Equal(
            [new LocalDate(2027, 3, 7), new LocalDate(2027, 3, 13), .. Enumerable.Range(14, 7).Select(day => new LocalDate(2027, 3, day))],
            shelf.Dates());
    }

    [Fact]
    public void A_shelf_never_keeps_more_than_eleven_and_always_the_newest() =>
        Gen.Int[0, 2000].Array[1, 60].Sample(days =>
        {
            LocalDate[] dates = [.. days.Distinct().Select(day => new LocalDate(2027, 1, 1).PlusDays(day))];
            IReadOnlyList<LocalDate> kept = BackupShelf.Kept(dates);
            return kept.Count <= 11 && kept.Count >= Math.Min(7, dates.Length) && kept[^1] == dates.Max() && kept.All(dates.Contains);
        });

    [Fact]
    public async Task A_receipt_is_noted_on_a_full_disk_with_the_room_kept_for_it()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess, "Needs the right to mount a small disk in memory.");
        string disk = Directory.CreateDirectory(Path.Combine(rig.Folder, "disk")).FullName;
        Assert.Equal(0, await RunAsync("mount", "-t", "tmpfs", "-o", "size=16m", "tmpfs", disk));
        try
        {
            string path = Path.Combine(disk, "store.db");
            await using SqliteStore store = await SqliteStore.OpenAsync(path, new SqliteStoreOptions { ReserveBytes = 6 << 20 }, Stop);
            Assert.True(store.File.Room.IsFilled);
            int letters = 0;
            SqliteException full = await Assert.ThrowsAsync<SqliteException>(async () =>
            {
                for (int i = 1; ; i++)
                {
                    await store.Ledger.SealAsync(Sample.Letter(Sample.Slot($"G{i}"), bodyBytes: 20_000), Stop);
                    letters = i;
                }
            });
            Assert.Equal(13, full.SqliteErrorCode);
            Assert.True(store.File.Room.IsFilled, "sealing must not use up the room kept for receipts");
            Assert.InRange(letters, 50, 1000);

            for (int i = 1; i <= letters; i++)
            {
                await store.Ledger.RecordTryAsync(Sample.Slot($"G{i}"), DeliveryResult.Accepted("250"), Sample.Morning, Stop);
            }

            Assert.Empty(await store.Ledger.LoadWaitingAsync(Stop));
            Assert.Null(await store.File.FindDamageAsync(thorough: true, Stop));
        }
        finally
        {
            await RunAsync("umount", "-l", disk);
        }
    }

    private static async Task<int> RunAsync(string program, params string[] arguments)
    {
        using var process = System.Diagnostics.Process.Start(program, arguments);
        await process.WaitForExitAsync(Stop);
        return process.ExitCode;
    }

    private Task<SqliteStore> OpenAsync() => SqliteStore.OpenAsync(rig.File, Stop);
}

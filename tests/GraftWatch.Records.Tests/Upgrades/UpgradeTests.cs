using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Tests.Upgrades;

/// <summary>Stores of every program of before come up to date, keep all they hold, and leave a copy to go back to.</summary>
public sealed class UpgradeTests : IAsyncLifetime
{
    private readonly SqliteRig rig = new();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public static TheoryData<int> Steps => [.. OldStore.Steps];

    public ValueTask InitializeAsync() => ValueTask.CompletedTask;

    public ValueTask DisposeAsync() => rig.DisposeAsync();

    [Theory]
    [MemberData(nameof(Steps))]
    public async Task A_store_of_any_step_comes_up_to_date_and_keeps_every_value(int step)
    {
        OldStore.Make(step, rig.File);
        IReadOnlyList<TableShape> tables = [.. OldStore.Tables(rig.File).Where(table => table.Name != "schema_version")];
        IReadOnlyDictionary<string, string> before = OldStore.Contents(rig.File, tables);
        Assert.All(before, table => Assert.True(table.Value.Length > 0, $"{table.Key} has no row in {OldStore.FileOf(step)}"));

        await using (SqliteStore store = await SqliteStore.OpenAsync(rig.File, Stop))
        {
            IReadOnlyList<Graft> grafts = await store.Register.LoadGraftsAsync(Sample.Grower, Stop);
            Assert.Equal(0.1 + 0.2, Assert.Single(grafts, graft => graft.Label != "B3-07").AspectDeg);
            Assert.Equal(LetterState.Accepted, (await store.Ledger.FindAsync(Sample.Slot(), Stop))!.State);
        }

        IReadOnlyDictionary<string, string> after = OldStore.Contents(rig.File, tables);
        Assert.All(tables, table => Assert.Equal(before[table.Name], after[table.Name]));
        await using SqliteStore upgraded = await SqliteStore.OpenAsync(rig.File, Stop);
        Assert.Equal(LetterKind.Urgent, Assert.Single(await upgraded.Ledger.LoadWaitingAsync(Stop)).Letter.Slot.Kind);
        Assert.False(await upgraded.Ledger.SealAsync(Sample.Letter(), Stop));
        Assert.True(await upgraded.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(1)), 3), Stop));
    }

    [Theory]
    [MemberData(nameof(Steps))]
    public async Task A_store_that_came_up_to_date_has_the_schema_of_a_new_one(int step)
    {
        OldStore.Make(step, rig.File);
        await (await SqliteStore.OpenAsync(rig.File, Stop)).DisposeAsync();
        string fresh = Path.Combine(rig.Folder, "fresh.db");
        await (await SqliteStore.OpenAsync(fresh, Stop)).DisposeAsync();
        Assert.Equal(OldStore.Schema(fresh), OldStore.Schema(rig.File));
    }

    // A text that was changed by hand would prove nothing about stores of before.
    [Theory]
    [MemberData(nameof(Steps))]
    public async Task The_text_of_a_step_has_exactly_the_schema_that_the_step_had(int step)
    {
        OldStore.Make(step, rig.File);
        string made = Path.Combine(rig.Folder, "made.db");
        Migration[] until = [.. Migration.Shipped("Sqlite").Where(migration => migration.Number <= step)];
        await (await SqliteStore.OpenAsync(made, new SqliteStoreOptions { Migrations = until, ReserveBytes = 0 }, Stop)).DisposeAsync();
        Assert.Equal(OldStore.Schema(made), OldStore.Schema(rig.File));
        await (await SqliteStore.OpenAsync(rig.File, new SqliteStoreOptions { Migrations = until, ReserveBytes = 0 }, Stop)).DisposeAsync();
        Assert.False(File.Exists(rig.File + ".before-0001"));
    }

    [Theory]
    [MemberData(nameof(Steps))]
    public async Task Before_it_comes_up_to_date_a_store_is_copied_and_the_copy_is_what_the_old_program_knows(int step)
    {
        OldStore.Make(step, rig.File);
        IReadOnlyList<TableShape> tables = OldStore.Tables(rig.File);
        IReadOnlyDictionary<string, string> before = OldStore.Contents(rig.File, tables);
        await (await SqliteStore.OpenAsync(rig.File, Stop)).DisposeAsync();

        int next = Migration.Shipped("Sqlite").First(migration => migration.Number > step).Number;
        string copy = Assert.Single(UpgradeCopy.Of(rig.File));
        Assert.Equal(string.Create(CultureInfo.InvariantCulture, $"{rig.File}.before-{next:0000}"), copy);
        Assert.Equal(before, OldStore.Contents(copy, tables));
        Migration[] until = [.. Migration.Shipped("Sqlite").Where(migration => migration.Number <= step)];
        // A program that knows only the steps until then opens it; what it holds was compared above.
        await (await SqliteStore.OpenAsync(copy, new SqliteStoreOptions { Migrations = until, ReserveBytes = 0 }, Stop)).DisposeAsync();
    }

    [Fact]
    public async Task A_new_store_and_one_that_is_up_to_date_leave_no_copy()
    {
        await (await SqliteStore.OpenAsync(rig.File, Stop)).DisposeAsync();
        await (await SqliteStore.OpenAsync(rig.File, Stop)).DisposeAsync();
        Assert.Empty(UpgradeCopy.Of(rig.File));
        Assert.Empty(Directory.GetFiles(rig.Folder, "*.new*"));
    }

    [Fact]
    public async Task Three_copies_are_kept()
    {
        OldStore.Make(1, rig.File);
        foreach (string step in (string[])["0000", "0001", "0002", "1779123456"])
        {
            await File.WriteAllTextAsync(rig.File + ".before-" + step, "x", Stop);
        }

        await (await SqliteStore.OpenAsync(rig.File, Stop)).DisposeAsync();
        Assert.Equal([".before-0000", ".before-0001", ".before-0002"], UpgradeCopy.Of(rig.File).Select(file => file[rig.File.Length..]));
        Assert.NotEqual(1, new FileInfo(rig.File + ".before-0002").Length);
        await File.WriteAllTextAsync(rig.File + ".before-0003", "x", Stop);
        UpgradeCopy.Keep(rig.File, 9998);
        Assert.Equal([".before-0002", ".before-0003", ".before-9998"], UpgradeCopy.Of(rig.File).Select(file => file[rig.File.Length..]));
        Assert.True(File.Exists(rig.File + ".before-1779123456"));
    }

    [Fact]
    public async Task Where_the_copy_cannot_be_made_nothing_is_changed()
    {
        OldStore.Make(2, rig.File);
        string before = OldStore.Schema(rig.File);
        Directory.CreateDirectory(rig.File + ".before-0003");
        await File.WriteAllTextAsync(Path.Combine(rig.File + ".before-0003", "in the way"), "x", Stop);
        var refused = await Assert.ThrowsAsync<StoreRefusedException>(() => SqliteStore.OpenAsync(rig.File, Stop));
        Assert.Matches("An older GraftWatch wrote .*store.db. It is copied before it is brought up to date, and the copy .*before-0003 cannot be made", refused.Message);
        Assert.Equal(before, OldStore.Schema(rig.File));
    }

    [Fact]
    public async Task A_step_that_was_left_out_is_made_up_for_in_its_turn()
    {
        Migration[] all = [.. Migration.Shipped("Sqlite")];
        OldStore.Make(2, rig.File);
        Migration late = Migration.Parse("0007-late.sql", "CREATE TABLE late (id INTEGER PRIMARY KEY) STRICT;\n");
        Migration later = Migration.Parse("0009-later.sql", "CREATE TABLE later (id INTEGER PRIMARY KEY) STRICT;\n");
        await (await SqliteStore.OpenAsync(rig.File, new SqliteStoreOptions { Migrations = [.. all.Take(2), later] }, Stop)).DisposeAsync();
        await (await SqliteStore.OpenAsync(rig.File, new SqliteStoreOptions { Migrations = [.. all.Take(2), late, later] }, Stop)).DisposeAsync();
        Assert.Contains(OldStore.Tables(rig.File), table => table.Name == "late");
        var refused = await Assert.ThrowsAsync<StoreRefusedException>(() => SqliteStore.OpenAsync(rig.File, new SqliteStoreOptions { Migrations = [.. all.Take(2), later] }, Stop));
        Assert.Equal(StoreRefusal.ChangedMigration, refused.Refusal);
    }

    [Fact]
    public async Task Every_step_but_the_newest_has_its_store()
    {
        if (Environment.GetEnvironmentVariable("GRAFTWATCH_WRITE_STORES") == "1")
        {
            await WriteMissingAsync();
        }

        Assert.All(OldStore.Steps, step => Assert.True(File.Exists(OldStore.FileOf(step)), $"{OldStore.FileOf(step)} is missing. Run this test with GRAFTWATCH_WRITE_STORES=1 before the next step is added, and commit the file."));
    }

    private async Task WriteMissingAsync()
    {
        Directory.CreateDirectory(Path.GetDirectoryName(OldStore.FileOf(1))!);
        foreach (int step in OldStore.Steps.Where(step => !File.Exists(OldStore.FileOf(step))))
        {
            string folder = Directory.CreateDirectory(Path.Combine(rig.Folder, step.ToString(CultureInfo.InvariantCulture))).FullName;
            await OldStore.WriteAsync(step, folder, Stop);
        }
    }
}

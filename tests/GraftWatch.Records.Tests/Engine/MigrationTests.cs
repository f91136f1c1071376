using GraftWatch.Records.Engine;
using GraftWatch.Records.Tests.Stores;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Tests.Engine;

public sealed class MigrationTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public static TheoryData<string> Engines => new("Sqlite", "Postgres");

    [Theory]
    [MemberData(nameof(Engines))]
    public void Steps_are_numbered_from_1_without_gaps(string engine)
    {
        IReadOnlyList<Migration> steps = Migration.Shipped(engine);
        Assert.NotEmpty(steps);
        Assert.Equal(Enumerable.Range(1, steps.Count), steps.Select(step => step.Number));
        Assert.All(steps, step => Assert.NotEmpty(step.Statements));
    }

    [Fact]
    public void Both_engines_have_the_same_steps() =>
        Assert.Equal(Migration.Shipped("Sqlite").Select(step => step.Name), Migration.Shipped("Postgres").Select(step => step.Name));

    [Fact]
    public void The_hash_of_a_step_does_not_depend_on_line_ends() =>
        Assert.Equal(Migration.Parse("0001-a.sql", "SELECT 1;\nSELECT 2;\n").Hash, Migration.Parse("0001-a.sql", "SELECT 1;\r\nSELECT 2;\r\n").Hash);

    [Fact]
    public void A_statement_may_hold_semicolons_inside_a_line()
    {
        Migration step = Migration.Parse("0007-two-words.sql", "-- why\nCREATE TRIGGER t BEGIN SELECT 1; END;\n\nSELECT\n 2;\n");
        Assert.Equal((7, "two-words"), (step.Number, step.Name));
        Assert.Equal(["CREATE TRIGGER t BEGIN SELECT 1; END;\n", "SELECT\n 2;\n"], step.Statements);
        Assert.Throws<FormatException>(() => Migration.Parse("0001-a.sql", "SELECT 1"));
    }

    // The files a dying process leaves are copied just before each statement; whatever was not committed must be as if never begun.
    [Fact]
    public async Task Files_left_before_any_statement_of_any_step_open_and_complete()
    {
        await using var rig = new SqliteRig();
        var left = new List<string>();
        var options = new SqliteStoreOptions
        {
            BeforeMigrationStatement = (step, statement) =>
            {
                string folder = Directory.CreateDirectory(Path.Combine(rig.Folder, $"{step.Number}-{statement}")).FullName;
                foreach (string file in Directory.GetFiles(rig.Folder, "store.db*").Where(name => !name.EndsWith("-shm", StringComparison.Ordinal)))
                {
                    File.Copy(file, Path.Combine(folder, Path.GetFileName(file)));
                }

                left.Add(Path.Combine(folder, "store.db"));
            },
        };
        await (await SqliteStore.OpenAsync(rig.File, options, Stop)).DisposeAsync();
        Assert.Equal(Migration.Shipped("Sqlite").Sum(step => step.Statements.Count + 2), left.Count);

        string expected = Schema(rig.File);
        foreach (string file in left)
        {
            await (await SqliteStore.OpenAsync(file, Stop)).DisposeAsync();
            Assert.Equal(expected, Schema(file));
        }
    }

    [Fact]
    public async Task A_step_that_fails_at_any_statement_leaves_nothing_and_the_next_start_completes_it()
    {
        await using var rig = new SqliteRig();
        int statements = Migration.Shipped("Sqlite")[0].Statements.Count;
        for (int failing = 0; failing <= statements + 1; failing++)
        {
            int at = failing;
            var options = new SqliteStoreOptions { BeforeMigrationStatement = (_, statement) => ThrowAt(statement, at) };
            await Assert.ThrowsAsync<IOException>(() => SqliteStore.OpenAsync(rig.File, options, Stop));
            Assert.Equal(string.Empty, Schema(rig.File));
        }

        await (await SqliteStore.OpenAsync(rig.File, Stop)).DisposeAsync();
        Assert.Contains("letter_waiting", Schema(rig.File), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Two_programs_that_start_together_on_a_new_store_both_open_it()
    {
        await using var rig = new SqliteRig();
        RecordsStore[] stores = await Task.WhenAll(Enumerable.Range(0, 4).Select(_ => Task.Run(() => rig.OpenAsync())));
        foreach (RecordsStore store in stores)
        {
            Assert.Empty(await store.Ledger.LoadWaitingAsync(Stop));
            await store.DisposeAsync();
        }
    }

    private static void ThrowAt(int statement, int at)
    {
        if (statement == at)
        {
            throw new IOException("the process ends here");
        }
    }

    private static string Schema(string file)
    {
        using var connection = new SqliteConnection($"Data Source={file};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = "SELECT type || ' ' || name || ' ' || coalesce(sql, '') FROM sqlite_schema ORDER BY type, name";
        using SqliteDataReader reader = command.ExecuteReader();
        var lines = new List<string>();
        while (reader.Read())
        {
            lines.Add(reader.GetString(0));
        }

        return string.Join('\n', lines);
    }
}

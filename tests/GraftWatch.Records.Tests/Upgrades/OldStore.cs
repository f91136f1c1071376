using System.Globalization;
using System.Text;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Tests.Contracts;
using GraftWatch.Testing;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Tests.Upgrades;

/// <summary>Stores as programs of before wrote them, kept as SQL text: one for each step of the schema, with rows in every table.</summary>
internal static class OldStore
{
    /// <summary>Steps that a store may have stopped at: all but the newest.</summary>
    public static IReadOnlyList<int> Steps { get; } = [.. Migration.Shipped("Sqlite").SkipLast(1).Select(step => step.Number)];

    public static string FileOf(int step) => Path.Combine(Repository.PathOf("tests", "GraftWatch.Records.Tests", "Upgrades", "Stores"), string.Create(CultureInfo.InvariantCulture, $"step-{step:0000}.sql"));

    /// <summary>Makes the store from its text.</summary>
    public static void Make(int step, string path)
    {
        using SqliteConnection connection = Open(path);
        Run(connection, File.ReadAllText(FileOf(step)));
    }

    /// <summary>Every value of every table that the store has now, of the columns it has now.</summary>
    public static IReadOnlyDictionary<string, string> Contents(string path, IReadOnlyList<TableShape> tables)
    {
        using SqliteConnection connection = Open(path);
        return tables.ToDictionary(table => table.Name, table => string.Join('\n', Rows(connection, $"SELECT {string.Join(" || ',' || ", table.Columns.Select(column => $"quote(\"{column}\")"))} FROM \"{table.Name}\" ORDER BY {table.KeyList}")));
    }

    public static IReadOnlyList<TableShape> Tables(string path)
    {
        using SqliteConnection connection = Open(path);
        return TableShape.All(connection);
    }

    public static string Schema(string path)
    {
        using SqliteConnection connection = Open(path);
        return string.Join('\n', Rows(connection, "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY type, name"));
    }

    /// <summary>Writes the text of a store that stopped at a step: what the present program fills in, as far as the step has columns for it.</summary>
    public static async Task WriteAsync(int step, string folder, CancellationToken stop)
    {
        string full = Path.Combine(folder, "full.db"), old = Path.Combine(folder, "old.db");
        await using (SqliteStore store = await SqliteStore.OpenAsync(full, stop))
        {
            await FilledStore.FillAsync(store, stop, leaveOneWaiting: true);
            await store.Notes.LoadSecretAsync(stop);
        }

        Migration[] steps = [.. Migration.Shipped("Sqlite").Where(migration => migration.Number <= step)];
        await (await SqliteStore.OpenAsync(old, new SqliteStoreOptions { Migrations = steps, ReserveBytes = 0 }, stop)).DisposeAsync();
        using SqliteConnection connection = Open(old);
        Run(connection, $"PRAGMA foreign_keys = OFF; ATTACH '{full}' AS full;");
        foreach (TableShape table in TableShape.All(connection).Where(table => table.Name != "schema_version"))
        {
            FillEmpty(connection, table);
            Run(connection, $"INSERT INTO main.\"{table.Name}\" ({table.ColumnList}) SELECT {table.ColumnList} FROM full.\"{table.Name}\"");
        }

        Run(connection, "DETACH full; UPDATE schema_version SET applied_at = 17900000000000000;");
        await File.WriteAllTextAsync(FileOf(step), Dump(connection), stop);
    }

    // A table nothing fills yet gets one row, made up by the types of its columns.
    private static void FillEmpty(SqliteConnection connection, TableShape table)
    {
        if (Rows(connection, $"SELECT 1 FROM full.\"{table.Name}\" LIMIT 1").Count == 0)
        {
            List<string> values = Rows(connection, $"SELECT CASE type WHEN 'INTEGER' THEN '1' WHEN 'REAL' THEN '1.5' WHEN 'BLOB' THEN 'x''01''' ELSE '''some ' || name || '''' END FROM pragma_table_info('{table.Name}') ORDER BY cid");
            Run(connection, $"INSERT INTO full.\"{table.Name}\" ({table.ColumnList}) VALUES ({string.Join(", ", values)})");
        }
    }

    private static string Dump(SqliteConnection connection)
    {
        var text = new StringBuilder("PRAGMA auto_vacuum = INCREMENTAL;\nPRAGMA application_id = 1196905300;\n");
        foreach (string sql in Rows(connection, "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY CASE type WHEN 'table' THEN 0 ELSE 1 END, rowid"))
        {
            text.Append(sql).Append(";\n");
        }

        foreach (TableShape table in TableShape.ParentsFirst(TableShape.All(connection)))
        {
            foreach (string row in Rows(connection, $"SELECT {string.Join(" || ', ' || ", table.Columns.Select(column => $"quote(\"{column}\")"))} FROM \"{table.Name}\" ORDER BY {table.KeyList}"))
            {
                text.Append(CultureInfo.InvariantCulture, $"INSERT INTO \"{table.Name}\" ({table.ColumnList}) VALUES ({row});\n");
            }
        }

        return text.ToString();
    }

    private static SqliteConnection Open(string path)
    {
        var connection = new SqliteConnection($"Data Source={path};Pooling=False");
        connection.Open();
        return connection;
    }

    private static void Run(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    private static List<string> Rows(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        using SqliteDataReader reader = command.ExecuteReader();
        var rows = new List<string>();
        while (reader.Read())
        {
            rows.Add(reader.GetString(0));
        }

        return rows;
    }
}

using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Backups;

/// <summary>A table of the store: its columns, and its key, by which its rows are put in order.</summary>
/// <param name="Name">Name of the table.</param>
/// <param name="Columns">Columns in the order of the file store.</param>
/// <param name="Key">Columns of the key.</param>
/// <param name="Parents">Tables its rows refer to.</param>
internal sealed record TableShape(string Name, IReadOnlyList<string> Columns, IReadOnlyList<string> Key, IReadOnlyList<string> Parents)
{
    /// <summary>Column names between commas.</summary>
    public string ColumnList => string.Join(", ", Columns.Select(column => $"\"{column}\""));

    /// <summary>Key columns between commas.</summary>
    public string KeyList => Key.Count > 0 ? string.Join(", ", Key.Select(column => $"\"{column}\"")) : "rowid";

    /// <summary>All tables of a file store by name.</summary>
    public static IReadOnlyList<TableShape> All(SqliteConnection connection) =>
        [.. Names(connection, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name").Select(table => new TableShape(
            table,
            Names(connection, $"SELECT name FROM pragma_table_info('{table}') ORDER BY cid"),
            Names(connection, $"SELECT name FROM pragma_table_info('{table}') WHERE pk > 0 ORDER BY pk"),
            Names(connection, $"SELECT DISTINCT \"table\" FROM pragma_foreign_key_list('{table}') ORDER BY 1")))];

    /// <summary>The same tables, those first that others refer to.</summary>
    public static IReadOnlyList<TableShape> ParentsFirst(IReadOnlyList<TableShape> tables)
    {
        var placed = new List<TableShape>();
        while (placed.Count < tables.Count)
        {
            TableShape[] next = [.. tables.Except(placed).Where(table => table.Parents.All(parent => parent == table.Name || placed.Any(there => there.Name == parent)))];
            placed.AddRange(next.Length > 0 ? next : throw new InvalidOperationException("Tables of the store refer to each other in a circle."));
        }

        return placed;
    }

    private static List<string> Names(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        using SqliteDataReader reader = command.ExecuteReader();
        var names = new List<string>();
        while (reader.Read())
        {
            names.Add(reader.GetString(0));
        }

        return names;
    }
}

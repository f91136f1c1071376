using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using GraftWatch.Records.Engine;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Backups;

/// <summary>One hash over every row of every table, in key order: equal hashes, equal contents, wherever the pages lie.</summary>
internal static class LogicalHash
{
    public static (string Hash, long Rows) Of(SqliteConnection connection)
    {
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        long rows = 0;
        foreach (string table in Tables(connection))
        {
            Append(hash, table);
            using SqliteCommand command = connection.CreateCommand();
            command.CommandText = $"SELECT * FROM \"{table}\" ORDER BY {KeyOf(connection, table)}";
            using SqliteDataReader reader = command.ExecuteReader();
            while (reader.Read())
            {
                rows++;
                for (int i = 0; i < reader.FieldCount; i++)
                {
                    Append(hash, reader, i);
                }
            }
        }

        return (Convert.ToHexStringLower(hash.GetHashAndReset()), rows);
    }

    private static List<string> Tables(SqliteConnection connection) =>
        Names(connection, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name");

    private static string KeyOf(SqliteConnection connection, string table)
    {
        List<string> key = Names(connection, $"SELECT name FROM pragma_table_info('{table}') WHERE pk > 0 ORDER BY pk");
        return key.Count > 0 ? string.Join(", ", key) : "rowid";
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

    private static void Append(IncrementalHash hash, SqliteDataReader reader, int column)
    {
        if (reader.IsDBNull(column))
        {
            Append(hash, "N");
        }
        else if (reader.GetFieldType(column) == typeof(byte[]))
        {
            byte[] bytes = reader.Bytes(column);
            Append(hash, string.Create(CultureInfo.InvariantCulture, $"B{bytes.Length}:"));
            hash.AppendData(bytes);
        }
        else
        {
            string text = Convert.ToString(reader.GetValue(column), CultureInfo.InvariantCulture)!;
            Append(hash, string.Create(CultureInfo.InvariantCulture, $"T{text.Length}:{text}"));
        }
    }

    private static void Append(IncrementalHash hash, string text) => hash.AppendData(Encoding.UTF8.GetBytes(text));
}

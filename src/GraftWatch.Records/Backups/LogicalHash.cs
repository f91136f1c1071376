using System.Data.Common;
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
        (string hash, IReadOnlyDictionary<string, long> rows) = Of(connection, TableShape.All(connection), _ => string.Empty);
        return (hash, rows.Values.Sum());
    }

    /// <summary>The hash over some tables of a store of either kind, and how many rows each has.</summary>
    /// <param name="connection">The store; both kinds sort text by code point.</param>
    /// <param name="tables">The tables, as the file store has them.</param>
    /// <param name="where">A WHERE clause for a table, or empty.</param>
    public static (string Hash, IReadOnlyDictionary<string, long> Rows) Of(DbConnection connection, IReadOnlyList<TableShape> tables, Func<TableShape, string> where)
    {
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        var counts = new Dictionary<string, long>(StringComparer.Ordinal);
        foreach (TableShape table in tables.OrderBy(table => table.Name, StringComparer.Ordinal))
        {
            Append(hash, table.Name);
            using DbCommand command = connection.CreateCommand();
            command.CommandText = $"SELECT {table.ColumnList} FROM \"{table.Name}\" {where(table)} ORDER BY {table.KeyList}";
            command.CommandTimeout = 0;
            using DbDataReader reader = command.ExecuteReader();
            long rows = 0;
            while (reader.Read())
            {
                rows++;
                for (int i = 0; i < reader.FieldCount; i++)
                {
                    Append(hash, reader, i);
                }
            }

            counts[table.Name] = rows;
        }

        return (Convert.ToHexStringLower(hash.GetHashAndReset()), counts);
    }

    private static void Append(IncrementalHash hash, DbDataReader reader, int column)
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

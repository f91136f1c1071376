using System.Globalization;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Engine;
using Microsoft.Data.Sqlite;
using Npgsql;
using NpgsqlTypes;

namespace GraftWatch.Records.Moving;

/// <summary>The database a store is moved into.</summary>
internal sealed class MoveTarget(SqlEngine engine, string connectionString, IReadOnlyList<TableShape> tables, string where)
{
    public const string VersionTable = "schema_version";
    private const string NoteTable = "store_note";

    /// <summary>Rows of a table that belong to the contents: notes about the move itself do not.</summary>
    public static string Rows(TableShape table) =>
        table.Name == NoteTable ? $"WHERE name NOT IN ('{StoreNotes.MovedToName}', '{StoreNotes.FillingName}')" : string.Empty;

    /// <summary>Makes sure that nothing else is in there, and that nobody serves it until the end.</summary>
    public async Task<MoveBegin> BeginAsync(string from, string hash, bool isSealed, CancellationToken cancellationToken)
    {
        string mark = hash + " " + from;
        return await engine.WriteAsync(
            async session =>
            {
                await engine.LockAsync(session, "move").ConfigureAwait(false);
                string? filling = await StoreNotes.ReadAsync(session, StoreNotes.FillingName).ConfigureAwait(false);
                if (filling is null)
                {
                    string? full = await FirstFullAsync(session).ConfigureAwait(false);
                    if (full is not null)
                    {
                        // The source says it was moved here, and nothing is unfinished: a move that is asked for twice.
                        return isSealed
                            ? MoveBegin.Finished
                            : throw new MoveFailedException($"The {where} is not empty: it has rows in {full}. Give GraftWatch an empty database of its own.");
                    }
                }
                else if (!filling.EndsWith(" " + from, StringComparison.Ordinal))
                {
                    throw new MoveFailedException($"The {where} is being filled from another store ({filling[(filling.IndexOf(' ', StringComparison.Ordinal) + 1)..]}). Go on with that move, or give this one an empty database.");
                }
                else if (filling != mark)
                {
                    // The source worked on after the move was broken off; nobody was served from what is here.
                    await EmptyAsync(session).ConfigureAwait(false);
                }

                await StoreNotes.WriteAsync(session, StoreNotes.FillingName, mark).ConfigureAwait(false);
                return filling == mark ? MoveBegin.GoesOn : MoveBegin.Fresh;
            },
            cancellationToken).ConfigureAwait(false);
    }

    /// <summary>Copies what is missing.</summary>
    public async Task FillAsync(SqliteConnection source, IReadOnlyDictionary<string, long> rows, StoreMoveOptions options, CancellationToken cancellationToken)
    {
        foreach (TableShape table in tables)
        {
            IReadOnlyList<NpgsqlDbType> types = await engine.ReadAsync(session => TypesAsync(session, table), cancellationToken).ConfigureAwait(false);
            long there = await engine.ReadAsync(async session => await session.NumberAsync($"SELECT count(*) FROM \"{table.Name}\" {Rows(table)}").ConfigureAwait(false) ?? 0, cancellationToken).ConfigureAwait(false);
            object[]? last = there == 0 ? null : await engine.ReadAsync(session => LastKeyAsync(session, table), cancellationToken).ConfigureAwait(false);
            while (there < rows[table.Name])
            {
                List<object?[]> batch = Read(source, table, last, options.BatchRows);
                if (batch.Count == 0)
                {
                    break; // The comparison at the end says what is wrong.
                }

                await engine.WriteAsync(session => WriteAsync(session, table, types, batch), cancellationToken).ConfigureAwait(false);
                last = [.. table.Key.Select(key => batch[^1][IndexOf(table, key)]!)];
                there += batch.Count;
                options.Progress?.Invoke(table.Name, there, rows[table.Name]);
            }
        }

        await engine.WriteAsync(SetSequencesAsync, cancellationToken).ConfigureAwait(false);
    }

    /// <summary>The hash over all that is there, and the rows of each table.</summary>
    public async Task<(string Hash, IReadOnlyDictionary<string, long> Rows)> HashAsync(CancellationToken cancellationToken)
    {
        var connection = new NpgsqlConnection(connectionString);
        await using (connection.ConfigureAwait(false))
        {
            await connection.OpenAsync(cancellationToken).ConfigureAwait(false);
            return LogicalHash.Of(connection, tables, Rows);
        }
    }

    /// <summary>From now on it may be served.</summary>
    public Task EndAsync(CancellationToken cancellationToken) => engine.WriteAsync(
        session => session.ExecuteAsync("DELETE FROM store_note WHERE name = @name", ("@name", StoreNotes.FillingName)), cancellationToken);

    private async Task<string?> FirstFullAsync(SqlSession session)
    {
        foreach (TableShape table in tables)
        {
            if (await session.NumberAsync($"SELECT count(*) FROM (SELECT 1 FROM \"{table.Name}\" LIMIT 1) AS one").ConfigureAwait(false) > 0)
            {
                return table.Name;
            }
        }

        return null;
    }

    // At once, whatever refers to what: row by row, sealed letters would defend their bytes.
    private Task<int> EmptyAsync(SqlSession session) =>
        session.ExecuteAsync("TRUNCATE " + string.Join(", ", tables.Select(table => $"\"{table.Name}\"")));

    private static List<object?[]> Read(SqliteConnection source, TableShape table, object[]? after, int most)
    {
        using SqliteCommand command = source.CreateCommand();
        string own = Rows(table);
        string behind = after is null
            ? own
            : $"{(own.Length > 0 ? own + " AND" : "WHERE")} ({table.KeyList}) > ({string.Join(", ", table.Key.Select((_, i) => string.Create(CultureInfo.InvariantCulture, $"@k{i}")))})";
        command.CommandText = string.Create(CultureInfo.InvariantCulture, $"SELECT {table.ColumnList} FROM \"{table.Name}\" {behind} ORDER BY {table.KeyList} LIMIT {most}");
        for (int i = 0; i < (after?.Length ?? 0); i++)
        {
            command.Parameters.AddWithValue(string.Create(CultureInfo.InvariantCulture, $"@k{i}"), after![i]);
        }

        using SqliteDataReader reader = command.ExecuteReader();
        var rows = new List<object?[]>();
        while (reader.Read())
        {
            object?[] row = new object?[reader.FieldCount];
            for (int i = 0; i < row.Length; i++)
            {
                row[i] = reader.IsDBNull(i) ? null : reader.GetValue(i);
            }

            rows.Add(row);
        }

        return rows;
    }

    private static async Task WriteAsync(SqlSession session, TableShape table, IReadOnlyList<NpgsqlDbType> types, List<object?[]> rows)
    {
        var connection = (NpgsqlConnection)session.Connection;
        NpgsqlBinaryImporter import = await connection.BeginBinaryImportAsync($"COPY \"{table.Name}\" ({table.ColumnList}) FROM STDIN (FORMAT BINARY)", session.CancellationToken).ConfigureAwait(false);
        await using (import.ConfigureAwait(false))
        {
            foreach (object?[] row in rows)
            {
                await import.StartRowAsync(session.CancellationToken).ConfigureAwait(false);
                for (int i = 0; i < row.Length; i++)
                {
                    await WriteAsync(import, row[i], types[i], session.CancellationToken).ConfigureAwait(false);
                }
            }

            await import.CompleteAsync(session.CancellationToken).ConfigureAwait(false);
        }
    }

    private static Task WriteAsync(NpgsqlBinaryImporter import, object? value, NpgsqlDbType type, CancellationToken cancellationToken) => (value, type) switch
    {
        (null, _) => import.WriteNullAsync(cancellationToken),
        (byte[] bytes, NpgsqlDbType.Bytea) => import.WriteAsync(bytes, type, cancellationToken),
        (string text, NpgsqlDbType.Text) => import.WriteAsync(text, type, cancellationToken),
        (_, NpgsqlDbType.Bigint) => import.WriteAsync(Convert.ToInt64(value, CultureInfo.InvariantCulture), type, cancellationToken),
        (_, NpgsqlDbType.Integer) => import.WriteAsync(Convert.ToInt32(value, CultureInfo.InvariantCulture), type, cancellationToken),
        (_, NpgsqlDbType.Double) => import.WriteAsync(Convert.ToDouble(value, CultureInfo.InvariantCulture), type, cancellationToken),
        _ => throw new MoveFailedException($"A value of the kind {value.GetType().Name} does not fit its column in PostgreSQL."),
    };

    private static async Task<IReadOnlyList<NpgsqlDbType>> TypesAsync(SqlSession session, TableShape table)
    {
        List<(string Column, string Type)> found = await session.ListAsync(
            row => (row.GetString(0), row.GetString(1)),
            "SELECT column_name::text, data_type::text FROM information_schema.columns WHERE table_schema = current_schema() AND table_name = @table",
            ("@table", table.Name)).ConfigureAwait(false);
        var types = found.ToDictionary(column => column.Column, column => column.Type, StringComparer.Ordinal);
        return [.. table.Columns.Select(column => types.GetValueOrDefault(column) switch
        {
            "bigint" => NpgsqlDbType.Bigint,
            "integer" => NpgsqlDbType.Integer,
            "double precision" => NpgsqlDbType.Double,
            "text" => NpgsqlDbType.Text,
            "bytea" => NpgsqlDbType.Bytea,
            var other => throw new MoveFailedException($"{table.Name}.{column} is {other ?? "not there"} in PostgreSQL; this program does not know how to move it."),
        })];
    }

    private static async Task<object[]?> LastKeyAsync(SqlSession session, TableShape table)
    {
        string descending = string.Join(", ", table.Key.Select(key => $"\"{key}\" DESC"));
        List<object[]> last = await session.ListAsync(
            row =>
            {
                object[] key = new object[row.FieldCount];
                row.GetValues(key);
                return key;
            },
            $"SELECT {table.KeyList} FROM \"{table.Name}\" {Rows(table)} ORDER BY {descending} LIMIT 1").ConfigureAwait(false);
        return last.Count > 0 ? last[0] : null;
    }

    // Rows came with their numbers; the next number made here must be a new one.
    private static async Task SetSequencesAsync(SqlSession session)
    {
        List<(string Table, string Column)> numbered = await session.ListAsync(
            row => (row.GetString(0), row.GetString(1)),
            "SELECT table_name::text, column_name::text FROM information_schema.columns WHERE table_schema = current_schema() AND is_identity = 'YES'").ConfigureAwait(false);
        foreach ((string table, string column) in numbered)
        {
            await session.NumberAsync($"SELECT setval(pg_get_serial_sequence('\"{table}\"', '{column}'), coalesce((SELECT max(\"{column}\") FROM \"{table}\"), 0) + 1, false)").ConfigureAwait(false);
        }
    }

    private static int IndexOf(TableShape table, string column)
    {
        for (int i = 0; i < table.Columns.Count; i++)
        {
            if (table.Columns[i] == column)
            {
                return i;
            }
        }

        throw new InvalidOperationException($"{table.Name} has no column {column}.");
    }
}

/// <summary>What a move found in its target.</summary>
internal enum MoveBegin
{
    /// <summary>Nothing, or a beginning that was thrown away.</summary>
    Fresh = 0,

    /// <summary>A beginning to go on behind.</summary>
    GoesOn,

    /// <summary>Everything, from a move that ended well.</summary>
    Finished,
}

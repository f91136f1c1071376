using System.Data.Common;
using System.Globalization;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Engine;

/// <summary>One transaction: commands with named values, on either database.</summary>
internal sealed class SqlSession(DbConnection connection, DbTransaction? transaction, CancellationToken cancellationToken)
{
    /// <summary>Appended to a SELECT that reads what it is about to change; SQLite's writer is alone anyway.</summary>
    public string ForUpdate { get; init; } = string.Empty;

    /// <summary>Appended to a SELECT that takes rows nobody else is taking.</summary>
    public string SkipLocked { get; init; } = string.Empty;

    /// <summary>Whether a letter's bytes go beside its row: a file writes a row anew, all its pages with it, whenever a state changes; a server keeps long values apart by itself.</summary>
    public bool KeepsBytesApart => connection is SqliteConnection;

    public DbConnection Connection => connection;

    public DbTransaction? Transaction => transaction;

    public CancellationToken CancellationToken => cancellationToken;

    public DbCommand Command(string sql, params ReadOnlySpan<(string Name, object? Value)> values)
    {
        DbCommand command = connection.CreateCommand();
        command.CommandText = sql;
        command.Transaction = transaction;
        foreach ((string name, object? value) in values)
        {
            DbParameter parameter = command.CreateParameter();
            parameter.ParameterName = name;
            parameter.Value = Checked(name, value);
            command.Parameters.Add(parameter);
        }

        return command;
    }

    public Task<int> ExecuteAsync(string sql, params ReadOnlySpan<(string Name, object? Value)> values) => RunAsync(Command(sql, values));

    /// <summary>The first column of the first row as a whole number; null when there is none.</summary>
    public Task<long?> NumberAsync(string sql, params ReadOnlySpan<(string Name, object? Value)> values) => NumberAsync(Command(sql, values));

    /// <summary>The first column of the first row as text; null when there is none.</summary>
    public Task<string?> TextAsync(string sql, params ReadOnlySpan<(string Name, object? Value)> values) => TextAsync(Command(sql, values));

    public Task<List<T>> ListAsync<T>(Func<DbDataReader, T> map, string sql, params ReadOnlySpan<(string Name, object? Value)> values) =>
        ListAsync(map, Command(sql, values));

    public async Task<T?> FirstAsync<T>(Func<DbDataReader, T> map, DbCommand command)
        where T : class
    {
        await using (command.ConfigureAwait(false))
        {
            DbDataReader reader = await command.ExecuteReaderAsync(cancellationToken).ConfigureAwait(false);
            await using (reader.ConfigureAwait(false))
            {
                return await reader.ReadAsync(cancellationToken).ConfigureAwait(false) ? map(reader) : null;
            }
        }
    }

    /// <summary>Runs one statement for many rows: a batch where the driver has them, else one prepared command.</summary>
    public async Task ExecuteManyAsync<T>(string sql, IReadOnlyList<T> rows, Func<T, (string Name, object? Value)[]> values)
    {
        if (connection.CanCreateBatch)
        {
            foreach (T[] chunk in rows.Chunk(500))
            {
                DbBatch batch = connection.CreateBatch();
                await using (batch.ConfigureAwait(false))
                {
                    batch.Transaction = transaction;
                    foreach (T row in chunk)
                    {
                        Add(batch, sql, values(row));
                    }

                    await batch.ExecuteNonQueryAsync(cancellationToken).ConfigureAwait(false);
                }
            }

            return;
        }

        DbCommand? command = null;
        try
        {
            foreach (T row in rows)
            {
                (string Name, object? Value)[] of = values(row);
                if (command is null)
                {
                    command = Command(sql, of);
                }
                else
                {
                    for (int i = 0; i < of.Length; i++)
                    {
                        command.Parameters[i].Value = Checked(of[i].Name, of[i].Value);
                    }
                }

                await command.ExecuteNonQueryAsync(cancellationToken).ConfigureAwait(false);
            }
        }
        finally
        {
            command?.Dispose();
        }
    }

    private static void Add(DbBatch batch, string sql, (string Name, object? Value)[] values)
    {
        DbBatchCommand command = batch.CreateBatchCommand();
        command.CommandText = sql;
        foreach ((string name, object? value) in values)
        {
            DbParameter parameter = command.CreateParameter();
            parameter.ParameterName = name;
            parameter.Value = Checked(name, value);
            command.Parameters.Add(parameter);
        }

        batch.BatchCommands.Add(command);
    }

    private static object Checked(string name, object? value) => value switch
    {
        null => DBNull.Value,
        string text when text.Contains('\0', StringComparison.Ordinal) => throw new ArgumentException($"The text for {name[1..]} holds a NUL character."),
        double number when !double.IsFinite(number) => throw new ArgumentException($"The number for {name[1..]} is {number.ToString(CultureInfo.InvariantCulture)}; a store keeps finite numbers only."),
        bool flag => flag ? 1L : 0L,
        int number => (long)number,
        _ => value,
    };

    private async Task<int> RunAsync(DbCommand command)
    {
        await using (command.ConfigureAwait(false))
        {
            return await command.ExecuteNonQueryAsync(cancellationToken).ConfigureAwait(false);
        }
    }

    private async Task<long?> NumberAsync(DbCommand command)
    {
        await using (command.ConfigureAwait(false))
        {
            object? value = await command.ExecuteScalarAsync(cancellationToken).ConfigureAwait(false);
            return value is null or DBNull ? null : Convert.ToInt64(value, CultureInfo.InvariantCulture);
        }
    }

    private async Task<string?> TextAsync(DbCommand command)
    {
        await using (command.ConfigureAwait(false))
        {
            return await command.ExecuteScalarAsync(cancellationToken).ConfigureAwait(false) as string;
        }
    }

    private async Task<List<T>> ListAsync<T>(Func<DbDataReader, T> map, DbCommand command)
    {
        await using (command.ConfigureAwait(false))
        {
            DbDataReader reader = await command.ExecuteReaderAsync(cancellationToken).ConfigureAwait(false);
            await using (reader.ConfigureAwait(false))
            {
                var rows = new List<T>();
                while (await reader.ReadAsync(cancellationToken).ConfigureAwait(false))
                {
                    rows.Add(map(reader));
                }

                return rows;
            }
        }
    }
}

using System.Collections.Concurrent;
using System.Globalization;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace GraftWatch.Records.Engine;

/// <summary>SQLite in WAL mode with full syncs: one writing thread, short reads beside it.</summary>
internal sealed class SqliteEngine : SqlEngine
{
    private readonly SqliteStoreOptions options;
    private readonly ConcurrentBag<SqliteConnection> idleReaders = [];
    private readonly SqliteWriter writer;
    private volatile bool closed;

    private SqliteEngine(string path, SqliteStoreOptions options, SqliteWriter writer, Reserve reserve)
    {
        Room = reserve;
        Path = path;
        this.options = options;
        this.writer = writer;
    }

    public override string Name => "Sqlite";

    /// <summary>Full path of the file.</summary>
    public string Path { get; }

    /// <summary>The room kept for receipts.</summary>
    public Reserve Room { get; }

    /// <summary>Commits so far.</summary>
    public long Commits => writer.Commits;

    /// <summary>Opens the file, which must be ours or new, and sets and reads back what durability rests on.</summary>
    public static SqliteEngine Open(string path, SqliteStoreOptions options)
    {
        SqliteConnection connection = SqliteFiles.Connect(path, options, SqliteOpenMode.ReadWriteCreate);
        try
        {
            SqliteFiles.RefuseOldLibrary(connection);
            SqliteFiles.RefuseForeign(connection, path);
            SqliteFiles.MakeDurable(connection, path, options);
            var reserve = new Reserve(path + ".reserve", options.ReserveBytes);
            reserve.Fill();
            return new SqliteEngine(path, options, new SqliteWriter(connection, reserve), reserve);
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    public override Task<T> ReadAsync<T>(Func<SqlSession, Task<T>> work, CancellationToken cancellationToken) =>
        Task.Run(
            async () =>
            {
                ObjectDisposedException.ThrowIf(closed, this);
                if (!idleReaders.TryTake(out SqliteConnection? reader))
                {
                    reader = SqliteFiles.ConnectReader(Path, options);
                }

                bool sound = false;
                try
                {
                    T result;
                    using (SqliteTransaction transaction = reader.BeginTransaction(deferred: true))
                    {
                        result = await work(new SqlSession(reader, transaction, cancellationToken)).ConfigureAwait(false);
                    }

                    sound = true;
                    return result;
                }
                finally
                {
                    Return(reader, sound);
                }
            },
            cancellationToken);

    public override Task<T> WriteAsync<T>(Func<SqlSession, Task<T>> work, CancellationToken cancellationToken) => writer.RunAsync(work, receipt: false, cancellationToken);

    public override Task<T> WriteReceiptAsync<T>(Func<SqlSession, Task<T>> work, CancellationToken cancellationToken) => writer.RunAsync(work, receipt: true, cancellationToken);

    /// <summary>Runs something on the writing connection outside a transaction.</summary>
    public Task<T> AloneAsync<T>(Func<SqliteConnection, T> work, CancellationToken cancellationToken) => writer.AloneAsync(work, cancellationToken);

    // BEGIN IMMEDIATE already keeps every other writer out.
    public override Task LockAsync(SqlSession session, string name) => Task.CompletedTask;

    public override async Task<bool> HasVersionTableAsync(SqlSession session) =>
        await session.NumberAsync("SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = 'schema_version'").ConfigureAwait(false) == 1;

    public override Task<long> LeaseClockAsync(SqlSession session) =>
        Task.FromResult(Stored.Ticks(Instant.FromDateTimeOffset(options.Clock.GetUtcNow())));

    /// <summary>Reads the whole file; a sentence about the first damage found, or null.</summary>
    public Task<string?> FindDamageAsync(bool thorough, CancellationToken cancellationToken) => ReadAsync(
        async session =>
        {
            string? answer = await session.TextAsync(thorough ? "PRAGMA integrity_check(1)" : "PRAGMA quick_check(1)").ConfigureAwait(false);
            if (answer != "ok")
            {
                return answer ?? "the check gave no answer";
            }

            List<string> orphans = await session.ListAsync(reader => reader.GetString(0), "SELECT \"table\" FROM pragma_foreign_key_check LIMIT 1").ConfigureAwait(false);
            return orphans.Count == 0 ? null : string.Create(CultureInfo.InvariantCulture, $"a row of {orphans[0]} refers to nothing");
        },
        cancellationToken);

    public override ValueTask DisposeAsync()
    {
        if (!closed)
        {
            closed = true;
            writer.Dispose();
            while (idleReaders.TryTake(out SqliteConnection? reader))
            {
                reader.Dispose();
            }
        }

        return ValueTask.CompletedTask;
    }

    private void Return(SqliteConnection reader, bool sound)
    {
        if (sound && !closed)
        {
            idleReaders.Add(reader);
        }
        else
        {
            reader.Dispose();
        }
    }
}

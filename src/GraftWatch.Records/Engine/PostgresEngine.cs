using System.Data;
using Npgsql;

namespace GraftWatch.Records.Engine;

/// <summary>PostgreSQL: pooled connections, one transaction a unit, units run again after failures that surely changed nothing.</summary>
internal sealed class PostgresEngine : SqlEngine
{
    private const int MostRuns = 3;

    // First half of the keys under which workers show that they are there.
    private const int Presence = 0x67726166;
    private readonly NpgsqlDataSource source;
    private readonly SemaphoreSlim presenceGate = new(1);
    private NpgsqlConnection? presence;
    private string? present;

    public PostgresEngine(string connectionString)
    {
        var settings = new NpgsqlConnectionStringBuilder(connectionString) { Pooling = true };
        settings.ApplicationName ??= "graftwatch";
        settings.KeepAlive = settings.KeepAlive == 0 ? 15 : settings.KeepAlive;
        // One machine needs few connections; the driver's 100 would let two machines fill a server.
        settings.MaxPoolSize = settings.MaxPoolSize == 100 ? 20 : settings.MaxPoolSize;

        // A lost receipt would send a letter twice, whatever the server's default is; an idle transaction would hold vacuum back.
        settings.Options = $"{settings.Options} -c synchronous_commit=on -c idle_in_transaction_session_timeout=60000 -c lock_timeout=30000 -c tcp_keepalives_idle=10 -c tcp_keepalives_interval=5 -c tcp_keepalives_count=3".TrimStart();
        source = new NpgsqlSlimDataSourceBuilder(settings.ConnectionString).EnableTransportSecurity().Build();
    }

    public override string Name => "Postgres";

    public override async Task<T> ReadAsync<T>(Func<SqlSession, Task<T>> work, CancellationToken cancellationToken)
    {
        for (int run = 1; ; run++)
        {
            try
            {
                NpgsqlConnection connection = await source.OpenConnectionAsync(cancellationToken).ConfigureAwait(false);
                await using (connection.ConfigureAwait(false))
                {
                    NpgsqlTransaction transaction = await connection.BeginTransactionAsync(IsolationLevel.RepeatableRead, cancellationToken).ConfigureAwait(false);
                    await using (transaction.ConfigureAwait(false))
                    {
                        T result = await work(new SqlSession(connection, transaction, cancellationToken)).ConfigureAwait(false);
                        await transaction.CommitAsync(cancellationToken).ConfigureAwait(false);
                        return result;
                    }
                }
            }
            catch (NpgsqlException failure) when (run < MostRuns && ChangedNothing(failure, committing: false))
            {
                await PauseAsync(run, cancellationToken).ConfigureAwait(false);
            }
        }
    }

    public override async Task<T> WriteAsync<T>(Func<SqlSession, Task<T>> work, CancellationToken cancellationToken)
    {
        for (int run = 1; ; run++)
        {
            bool committing = false;
            long since = System.Diagnostics.Stopwatch.GetTimestamp();
            try
            {
                NpgsqlConnection connection = await source.OpenConnectionAsync(cancellationToken).ConfigureAwait(false);
                await using (connection.ConfigureAwait(false))
                {
                    NpgsqlTransaction transaction = await connection.BeginTransactionAsync(cancellationToken).ConfigureAwait(false);
                    await using (transaction.ConfigureAwait(false))
                    {
                        T result = await work(new SqlSession(connection, transaction, cancellationToken) { ForUpdate = " FOR UPDATE", SkipLocked = " FOR UPDATE SKIP LOCKED" }).ConfigureAwait(false);
                        committing = true;
                        await transaction.CommitAsync(CancellationToken.None).ConfigureAwait(false);
                        StoreMeter.Committed(since);
                        return result;
                    }
                }
            }
            catch (NpgsqlException failure) when (run < MostRuns && ChangedNothing(failure, committing))
            {
                await PauseAsync(run, cancellationToken).ConfigureAwait(false);
            }
        }
    }

    public override Task LockAsync(SqlSession session, string name) =>
        session.NumberAsync("SELECT 1 FROM (SELECT pg_advisory_xact_lock(hashtextextended(@name, 0))) AS held", ("@name", "graftwatch " + name));

    public override async Task<bool> HasVersionTableAsync(SqlSession session) =>
        await session.NumberAsync("SELECT count(*) FROM information_schema.tables WHERE table_schema = current_schema() AND table_name = 'schema_version'").ConfigureAwait(false) == 1;

    public override async Task<long> LeaseClockAsync(SqlSession session) =>
        (await session.NumberAsync("SELECT (extract(epoch FROM clock_timestamp()) * 10000000)::bigint").ConfigureAwait(false))!.Value;

    public override string HolderIsThere =>
        $"""
        EXISTS (SELECT 1 FROM pg_locks k WHERE k.locktype = 'advisory' AND k.granted AND k.objsubid = 2
        AND k.database = (SELECT oid FROM pg_database WHERE datname = current_database())
        AND k.classid = {Presence} AND k.objid = (hashtext(letter.claim_owner)::bigint & 4294967295)::oid)
        """;

    // A lock of a session ends with its connection: at once when the process dies, and not while it only stands still.
    public override async Task ShowPresenceAsync(string worker, CancellationToken cancellationToken)
    {
        await presenceGate.WaitAsync(cancellationToken).ConfigureAwait(false);
        try
        {
            if (presence is { State: ConnectionState.Open } && present == worker)
            {
                return;
            }

            await LeaveAsync().ConfigureAwait(false);
            presence = await source.OpenConnectionAsync(cancellationToken).ConfigureAwait(false);
            using var command = new NpgsqlCommand("SELECT pg_advisory_lock_shared(@presence, hashtext(@worker))", presence);
            command.Parameters.AddWithValue("presence", Presence);
            command.Parameters.AddWithValue("worker", worker);
            await command.ExecuteNonQueryAsync(cancellationToken).ConfigureAwait(false);
            present = worker;
        }
        finally
        {
            presenceGate.Release();
        }
    }

    public override async ValueTask DisposeAsync()
    {
        await LeaveAsync().ConfigureAwait(false);
        presenceGate.Dispose();
        await source.DisposeAsync().ConfigureAwait(false);
    }

    private async Task LeaveAsync()
    {
        present = null;
        if (presence is not null)
        {
            await presence.DisposeAsync().ConfigureAwait(false);
            presence = null;
        }
    }

    /// <summary>Whether the server surely rolled back; a line that breaks during the commit leaves that open, and the caller must look.</summary>
    private static bool ChangedNothing(NpgsqlException failure, bool committing) => failure is PostgresException answer
        ? answer.SqlState is PostgresErrorCodes.SerializationFailure or PostgresErrorCodes.DeadlockDetected
            || (!committing && answer.SqlState is PostgresErrorCodes.AdminShutdown or PostgresErrorCodes.CrashShutdown or PostgresErrorCodes.CannotConnectNow or PostgresErrorCodes.TooManyConnections or PostgresErrorCodes.ReadOnlySqlTransaction)
        : !committing && failure.IsTransient;

    private static Task PauseAsync(int run, CancellationToken cancellationToken) => Task.Delay(TimeSpan.FromMilliseconds(100 * run * run), cancellationToken);
}

using GraftWatch.Records.Engine;
using NodaTime;
using Npgsql;

namespace GraftWatch.Records;

/// <summary>The store on a PostgreSQL server, for several machines that share the work.</summary>
public sealed class PostgresStore : RecordsStore
{
    private PostgresStore(PostgresEngine engine)
        : base(engine)
    {
    }

    /// <summary>Opens the store, checks it and brings it to this program's schema.</summary>
    /// <param name="connectionString">Key=value pairs as Npgsql takes them; the database must exist.</param>
    /// <param name="clock">Clock of the migration record.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    /// <exception cref="StoreRefusedException">It cannot be opened; the message says why and what to do, without the password.</exception>
    public static async Task<PostgresStore> OpenAsync(string connectionString, TimeProvider clock, CancellationToken cancellationToken)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(connectionString);
        ArgumentNullException.ThrowIfNull(clock);
        PostgresEngine engine;
        string where;
        try
        {
            var settings = new NpgsqlConnectionStringBuilder(connectionString);
            where = $"database {settings.Database ?? settings.Username} at {settings.Host}:{settings.Port}";
            engine = new PostgresEngine(connectionString);
        }
        catch (ArgumentException failure)
        {
            throw new StoreRefusedException(StoreRefusal.Unreachable, $"The PostgreSQL setting cannot be read: {failure.Message}");
        }

        try
        {
            var migrator = new Migrator(engine, Migration.Shipped(engine.Name));
            await migrator.ApplyAsync(Instant.FromDateTimeOffset(clock.GetUtcNow()), cancellationToken).ConfigureAwait(false);
            return new PostgresStore(engine);
        }
        catch (PostgresException answer)
        {
            await engine.DisposeAsync().ConfigureAwait(false);
            throw Refusal(where, answer);
        }
        catch (NpgsqlException failure)
        {
            await engine.DisposeAsync().ConfigureAwait(false);
            throw new StoreRefusedException(StoreRefusal.Unreachable, $"The {where} does not answer ({failure.Message}). Check that the server runs and listens there.", failure);
        }
        catch
        {
            await engine.DisposeAsync().ConfigureAwait(false);
            throw;
        }
    }

    /// <summary>Words for what the driver says.</summary>
    internal static StoreRefusedException Refusal(string connectionString, NpgsqlException failure)
    {
        var settings = new NpgsqlConnectionStringBuilder(connectionString);
        string where = $"database {settings.Database ?? settings.Username} at {settings.Host}:{settings.Port}";
        return failure is PostgresException answer
            ? Refusal(where, answer)
            : new StoreRefusedException(StoreRefusal.Unreachable, $"The {where} does not answer ({failure.Message}). Check that the server runs and listens there.", failure);
    }

    private static StoreRefusedException Refusal(string where, PostgresException answer) => answer.SqlState switch
    {
        PostgresErrorCodes.DuplicateTable or PostgresErrorCodes.DuplicateObject or PostgresErrorCodes.DuplicateFunction =>
            new(StoreRefusal.ForeignStore, $"The {where} holds tables of another program ({answer.MessageText}). Give GraftWatch a database of its own.", answer),
        PostgresErrorCodes.DiskFull => new(StoreRefusal.DiskFull, $"The server of the {where} has no room ({answer.MessageText}).", answer),
        PostgresErrorCodes.InsufficientPrivilege or PostgresErrorCodes.ReadOnlySqlTransaction =>
            new(StoreRefusal.NotWritable, $"The {where} cannot be written ({answer.MessageText}). The user needs the right to create tables there.", answer),
        _ => new(StoreRefusal.Unreachable, $"The {where} refuses: {answer.MessageText} ({answer.SqlState}).", answer),
    };
}

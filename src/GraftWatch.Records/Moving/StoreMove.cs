using System.Globalization;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Ledger;
using GraftWatch.Rounds.Ports;
using Microsoft.Data.Sqlite;
using NodaTime;
using Npgsql;

namespace GraftWatch.Records.Moving;

/// <summary>Moves everything a file store holds into a PostgreSQL database, so that exactly one of the two sends letters afterwards.</summary>
/// <remarks>
/// Rows go in key order, a batch a transaction, so the target always holds a beginning of each table and a move that was
/// killed goes on behind it. The target says that it is being filled until everything was compared; the source says where it
/// went before the target stops saying so. At no moment would both be served.
/// </remarks>
public sealed class StoreMove
{
    private readonly string source;
    private readonly string connectionString;
    private readonly StoreMoveOptions options;
    private readonly string where;

    /// <summary>Prepares a move; nothing happens yet.</summary>
    /// <param name="source">Path of the file store.</param>
    /// <param name="connectionString">The database, key=value pairs as Npgsql takes them.</param>
    /// <param name="options">How it is moved.</param>
    public StoreMove(string source, string connectionString, StoreMoveOptions options)
    {
        this.source = Path.GetFullPath(source);
        this.connectionString = connectionString;
        this.options = options;
        var target = new NpgsqlConnectionStringBuilder(connectionString);
        where = string.Create(CultureInfo.InvariantCulture, $"database {target.Database} at {target.Host}:{target.Port}");
    }

    /// <summary>Moves, or goes on with a move that was broken off.</summary>
    /// <exception cref="StoreRefusedException">The source is in use, or one of the two cannot be used; the message says why.</exception>
    /// <exception cref="MoveFailedException">The target holds something else, or what was written differs from what was read.</exception>
    public async Task<StoreMoveReport> RunAsync(CancellationToken cancellationToken)
    {
        if (!File.Exists(source))
        {
            throw new MoveFailedException($"There is no store at {source}.");
        }

        using StoreLock? held = options.KeepServingSource ? null : StoreLock.Take(source);
        SqliteStore from = await SqliteStore.OpenAsync(source, new SqliteStoreOptions { Clock = options.Clock }, cancellationToken).ConfigureAwait(false);
        await using (from.ConfigureAwait(false))
        {
            PostgresStore to = await PostgresStore.OpenAsync(connectionString, options.Clock, cancellationToken).ConfigureAwait(false);
            await using (to.ConfigureAwait(false))
            {
                return await MoveAsync(from, to, cancellationToken).ConfigureAwait(false);
            }
        }
    }

    private async Task<StoreMoveReport> MoveAsync(SqliteStore from, PostgresStore to, CancellationToken cancellationToken)
    {
        using SqliteConnection reader = SqliteFiles.ConnectReader(source, new SqliteStoreOptions());
        using SqliteTransaction picture = reader.BeginTransaction(deferred: true);
        IReadOnlyList<TableShape> tables = TableShape.ParentsFirst([.. TableShape.All(reader).Where(table => table.Name != MoveTarget.VersionTable)]);
        string movedTo = StoreNotes.MovedTo(reader);
        if (movedTo.Length > 0 && movedTo != where)
        {
            throw new MoveFailedException($"The contents of {source} were moved to {movedTo} already. Work with that one.");
        }

        (string hash, IReadOnlyDictionary<string, long> rows) = LogicalHash.Of(reader, tables, MoveTarget.Rows);
        var target = new MoveTarget(to.Engine, connectionString, tables, where);
        MoveBegin begin = await target.BeginAsync($"{Environment.MachineName} {source}", hash, isSealed: movedTo.Length > 0, cancellationToken).ConfigureAwait(false);
        if (begin == MoveBegin.Finished)
        {
            return new StoreMoveReport(where, rows.Values.Sum(), hash, WentOn: true, LettersGivenUp: 0);
        }

        await target.FillAsync(reader, rows, options, cancellationToken).ConfigureAwait(false);
        options.AtStep?.Invoke("filled");
        (string written, IReadOnlyDictionary<string, long> writtenRows) = await target.HashAsync(cancellationToken).ConfigureAwait(false);
        Compare(rows, writtenRows, hash, written);
        options.AtStep?.Invoke("compared");
        picture.Dispose();
        int givenUp = 0;
        if (options.KeepServingSource)
        {
            givenUp = await to.Engine.WriteAsync(session => SilenceAsync(session), cancellationToken).ConfigureAwait(false);
        }
        else
        {
            await from.Engine.WriteAsync(session => StoreNotes.WriteAsync(session, StoreNotes.MovedToName, where), cancellationToken).ConfigureAwait(false);
        }

        options.AtStep?.Invoke("sealed");
        await target.EndAsync(CancellationToken.None).ConfigureAwait(false);
        return new StoreMoveReport(where, rows.Values.Sum(), hash, begin != MoveBegin.Fresh, givenUp);
    }

    // Both stores go on living: what waits in the copy is the source's to send, and so are today's letters.
    private async Task<int> SilenceAsync(SqlSession session)
    {
        Instant now = Instant.FromDateTimeOffset(options.Clock.GetUtcNow());
        await LetterLedger.ForgetTodayAsync(session, options.FirstLetterDate!.Value, now).ConfigureAwait(false);
        List<(long Id, int Tries)> waiting = await session.ListAsync(row => (row.GetInt64(0), row.Whole(1)), "SELECT id, tries FROM letter WHERE state = 'waiting'").ConfigureAwait(false);
        foreach ((long id, int tries) in waiting)
        {
            await LetterLedger.RecordTryAsync(session, id, LetterState.Waiting, tries, Archive.NotSent.BecauseRestored, now).ConfigureAwait(false);
        }

        return waiting.Count;
    }

    private void Compare(IReadOnlyDictionary<string, long> read, IReadOnlyDictionary<string, long> written, string hash, string writtenHash)
    {
        foreach ((string table, long rows) in read)
        {
            if (written[table] != rows)
            {
                throw new MoveFailedException($"The {where} has {written[table]} rows in {table}, the source {rows}. Drop that database, make it anew and move again.");
            }
        }

        if (writtenHash != hash)
        {
            throw new MoveFailedException($"The {where} holds other values than were written. Drop that database, make it anew and move again; if it happens twice, its disk is not to be trusted.");
        }
    }
}

/// <summary>How a store is moved.</summary>
public sealed record StoreMoveOptions
{
    /// <summary>The clock.</summary>
    public TimeProvider Clock { get; init; } = TimeProvider.System;

    /// <summary>Rows a transaction.</summary>
    public int BatchRows { get; init; } = 2000;

    /// <summary>Whether the source goes on being served: then the target sends nothing that the source may send.</summary>
    public bool KeepServingSource { get; init; }

    /// <summary>First local day the target may make letters for; needed when the source goes on being served.</summary>
    public LocalDate? FirstLetterDate { get; init; }

    /// <summary>Told after each batch: table, rows of it there now, rows of it in all.</summary>
    public Action<string, long, long>? Progress { get; init; }

    /// <summary>Called between the last steps; a test may end the process here.</summary>
    internal Action<string>? AtStep { get; init; }
}

/// <summary>What was moved, after it was compared row by row.</summary>
/// <param name="Target">Where to, without secrets.</param>
/// <param name="Rows">Rows in all.</param>
/// <param name="Hash">Hash over every value of both, which are equal.</param>
/// <param name="WentOn">Whether an earlier move was gone on with.</param>
/// <param name="LettersGivenUp">Waiting letters that the target will not send, because the source goes on.</param>
public sealed record StoreMoveReport(string Target, long Rows, string Hash, bool WentOn, int LettersGivenUp);

/// <summary>A move cannot be made; the message says why and what to do. The source is as it was.</summary>
public sealed class MoveFailedException(string message) : Exception(message);

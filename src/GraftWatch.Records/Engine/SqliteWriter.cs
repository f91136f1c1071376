using System.Collections.Concurrent;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Engine;

/// <summary>The one thread that writes. Units that wait together share a commit, so a burst of receipts costs few disk syncs.</summary>
internal sealed class SqliteWriter : IDisposable
{
    private const int LargestGroup = 64;
    private readonly BlockingCollection<Unit> queue = [];
    private readonly SqliteConnection connection;
    private readonly Reserve reserve;
    private readonly Thread thread;

    public SqliteWriter(SqliteConnection connection, Reserve reserve)
    {
        this.connection = connection;
        this.reserve = reserve;
        thread = new Thread(Loop) { IsBackground = true, Name = "store writer" };
        thread.Start();
    }

    /// <summary>Commits so far, empty ones included.</summary>
    public long Commits { get; private set; }

    public Task<T> RunAsync<T>(Func<SqlSession, Task<T>> work, bool receipt, CancellationToken cancellationToken)
    {
        var unit = new Unit<T>(work, cancellationToken) { Receipt = receipt };
        try
        {
            queue.Add(unit, CancellationToken.None);
        }
        catch (InvalidOperationException)
        {
            throw new ObjectDisposedException(nameof(SqliteWriter), "The store is closed.");
        }

        return unit.Task;
    }

    /// <summary>Runs something on the writer's own connection outside a transaction, such as a checkpoint.</summary>
    public Task<T> AloneAsync<T>(Func<SqliteConnection, T> work, CancellationToken cancellationToken)
    {
        var unit = new Unit<T>(session => Task.FromResult(work((SqliteConnection)session.Connection)), cancellationToken) { Alone = true };
        queue.Add(unit, CancellationToken.None);
        return unit.Task;
    }

    public void Dispose()
    {
        queue.CompleteAdding();
        thread.Join();
        connection.Dispose();
        queue.Dispose();
    }

    private void Loop()
    {
        var group = new List<Unit>();
        foreach (Unit first in queue.GetConsumingEnumerable())
        {
            group.Clear();
            group.Add(first);
            while (!group[^1].Alone && group.Count < LargestGroup && queue.TryTake(out Unit? next))
            {
                if (next.Alone)
                {
                    Commit(group);
                    group.Clear();
                }

                group.Add(next);
            }

            Commit(group);
        }
    }

    private void Commit(List<Unit> group)
    {
        group.RemoveAll(unit => unit.GaveUp());
        if (group.Count == 0)
        {
            return;
        }

        try
        {
            if (group[0].Alone)
            {
                group[0].Run(new SqlSession(connection, null, CancellationToken.None));
            }
            else
            {
                long since = System.Diagnostics.Stopwatch.GetTimestamp();
                using SqliteTransaction transaction = connection.BeginTransaction();
                foreach (Unit unit in group)
                {
                    unit.Run(new SqlSession(connection, transaction, CancellationToken.None));
                }

                transaction.Commit();
                Commits++;
                StoreMeter.Committed(since);
            }

            group.ForEach(unit => unit.Succeed());
        }
        catch (Exception) when (group.Count > 1)
        {
            // One bad unit must not take its neighbours down: each gets a transaction of its own.
            foreach (Unit unit in group.ToArray())
            {
                Commit([unit]);
            }
        }
        catch (SqliteException full) when (full.SqliteErrorCode == SqliteFiles.Full && group[0].MayRunAgain())
        {
            // Not in the filter: it runs before the transaction is rolled back, and a journal in use cannot be emptied.
            if (MakeRoom())
            {
                Commit(group);
            }
            else
            {
                group[0].Fail(full);
            }
        }
        catch (Exception failure)
        {
            // Whatever it is, it belongs to the caller who waits for the unit; the thread goes on.
            group[0].Fail(failure);
        }
    }

    // The kept room lets the journal be brought into the file; after that the journal's own room is free again.
    private bool MakeRoom()
    {
        bool released = reserve.Release();
        try
        {
            return SqliteFiles.Number(connection, "PRAGMA wal_checkpoint(TRUNCATE)") == 0 || released;
        }
        catch (SqliteException)
        {
            return released;
        }
    }

    private abstract class Unit
    {
        private int runsOnFullDisk;

        public bool Alone { get; init; }

        public bool Receipt { get; init; }

        /// <summary>A receipt is worth two more runs when the disk was full.</summary>
        public bool MayRunAgain() => Receipt && ++runsOnFullDisk <= 2;

        public abstract bool GaveUp();

        public abstract void Run(SqlSession session);

        public abstract void Succeed();

        public abstract void Fail(Exception failure);
    }

    private sealed class Unit<T>(Func<SqlSession, Task<T>> work, CancellationToken cancellationToken) : Unit
    {
        private readonly TaskCompletionSource<T> done = new(TaskCreationOptions.RunContinuationsAsynchronously);
        private T result = default!;

        public Task<T> Task => done.Task;

        public override bool GaveUp() => cancellationToken.IsCancellationRequested && done.TrySetCanceled(cancellationToken);

        // The driver's async methods end synchronously, so nothing waits here but the disk.
        public override void Run(SqlSession session) => result = work(session).GetAwaiter().GetResult();

        public override void Succeed() => done.TrySetResult(result);

        public override void Fail(Exception failure) => done.TrySetException(failure);
    }
}

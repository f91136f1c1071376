namespace GraftWatch.Records.Engine;

/// <summary>Runs units of work on one database. A unit may be run again after a failure, so it does nothing but SQL.</summary>
internal abstract class SqlEngine : IAsyncDisposable
{
    /// <summary>Folder of the migrations and word in messages.</summary>
    public abstract string Name { get; }

    /// <summary>Reads from one unchanging picture of the store.</summary>
    public abstract Task<T> ReadAsync<T>(Func<SqlSession, Task<T>> work, CancellationToken cancellationToken);

    /// <summary>Runs the unit in one transaction; when the task ends well the disk or server has it.</summary>
    public abstract Task<T> WriteAsync<T>(Func<SqlSession, Task<T>> work, CancellationToken cancellationToken);

    /// <summary>As <see cref="WriteAsync{T}"/>, for what a server has already answered: it may use up the room that is kept for the purpose.</summary>
    public virtual Task<T> WriteReceiptAsync<T>(Func<SqlSession, Task<T>> work, CancellationToken cancellationToken) => WriteAsync(work, cancellationToken);

    /// <summary>Keeps others who ask for the same name waiting until the transaction ends.</summary>
    public abstract Task LockAsync(SqlSession session, string name);

    /// <summary>Whether schema_version exists.</summary>
    public abstract Task<bool> HasVersionTableAsync(SqlSession session);

    /// <summary>Now by the clock that leases are measured with, in ticks.</summary>
    public abstract Task<long> LeaseClockAsync(SqlSession session);

    /// <summary>SQL condition on a row of letter: the worker that claimed it is there, though it may stand still.</summary>
    public virtual string HolderIsThere => "0 = 1";

    /// <summary>Shows others that a worker is there for as long as this program is, however it ends.</summary>
    public virtual Task ShowPresenceAsync(string worker, CancellationToken cancellationToken) => Task.CompletedTask;

    public abstract ValueTask DisposeAsync();

    public Task WriteAsync(Func<SqlSession, Task> work, CancellationToken cancellationToken) =>
        WriteAsync(
            async session =>
            {
                await work(session).ConfigureAwait(false);
                return true;
            },
            cancellationToken);
}

using GraftWatch.Records.Backups;
using GraftWatch.Records.Engine;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace GraftWatch.Records;

/// <summary>The store as one file.</summary>
public sealed class SqliteStore : RecordsStore
{
    private SqliteStore(SqliteEngine engine)
        : base(engine)
    {
    }

    /// <summary>Full path of the file.</summary>
    public string Path => File.Path;

    internal SqliteEngine File => (SqliteEngine)Engine;

    /// <summary>Opens the store, makes it when it does not exist, checks it and brings it to this program's schema.</summary>
    /// <exception cref="StoreRefusedException">It cannot be opened; the message says why and what to do.</exception>
    public static Task<SqliteStore> OpenAsync(string path, CancellationToken cancellationToken) => OpenAsync(path, new SqliteStoreOptions(), cancellationToken);

    /// <inheritdoc cref="OpenAsync(string, CancellationToken)"/>
    public static async Task<SqliteStore> OpenAsync(string path, SqliteStoreOptions options, CancellationToken cancellationToken)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(path);
        ArgumentNullException.ThrowIfNull(options);
        string full = System.IO.Path.GetFullPath(path);
        MakeFolder(full);
        SqliteFiles.RefuseNetworkDisk(full, options.Disk.KindOf(System.IO.Path.GetDirectoryName(full)!));
        SqliteEngine engine = SqliteEngine.Open(full, options);
        try
        {
            if (options.CheckForDamage && await engine.FindDamageAsync(thorough: false, cancellationToken).ConfigureAwait(false) is { } damage)
            {
                throw new StoreRefusedException(StoreRefusal.Damaged, $"{full} is damaged: {damage}. Restore the newest backup; keep the damaged file, an expert may save more from it.");
            }

            IReadOnlyList<Migration> steps = options.Migrations ?? Migration.Shipped(engine.Name);
            var migrator = new Migrator(engine, steps) { BeforeStatement = options.BeforeMigrationStatement };
            IReadOnlySet<int> applied = await migrator.CheckAsync(cancellationToken).ConfigureAwait(false);
            if (options.CopyBeforeUpgrade && applied.Count > 0 && steps.FirstOrDefault(step => !applied.Contains(step.Number)) is { } next)
            {
                await Task.Run(() => UpgradeCopy.Keep(full, next.Number), cancellationToken).ConfigureAwait(false);
            }

            await migrator.ApplyAsync(Instant.FromDateTimeOffset(options.Clock.GetUtcNow()), cancellationToken).ConfigureAwait(false);
            return new SqliteStore(engine);
        }
        catch (SqliteException failure)
        {
            await engine.DisposeAsync().ConfigureAwait(false);
            throw SqliteFiles.Refusal(full, failure);
        }
        catch
        {
            await engine.DisposeAsync().ConfigureAwait(false);
            throw;
        }
    }

    private static void MakeFolder(string path)
    {
        try
        {
            Directory.CreateDirectory(System.IO.Path.GetDirectoryName(path)!);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new StoreRefusedException(StoreRefusal.NotWritable, $"The folder of the store {path} cannot be made ({failure.Message}).", failure);
        }
    }
}

using System.Globalization;
using NodaTime;

namespace GraftWatch.Records.Engine;

/// <summary>Brings a store to this program's schema. Each step and its row are one transaction: a kill leaves the step before.</summary>
internal sealed class Migrator(SqlEngine engine, IReadOnlyList<Migration> migrations)
{
    private const string VersionTable = "CREATE TABLE IF NOT EXISTS schema_version (number BIGINT NOT NULL PRIMARY KEY, name TEXT NOT NULL, hash TEXT NOT NULL, applied_at BIGINT NOT NULL)";

    /// <summary>Called before each statement; a test may end the process here.</summary>
    public Action<Migration, int>? BeforeStatement { get; init; }

    /// <summary>Refuses a store that a newer program wrote, or whose steps are not ours.</summary>
    /// <returns>The numbers of the steps applied; none for a new store.</returns>
    public Task<IReadOnlySet<int>> CheckAsync(CancellationToken cancellationToken) => engine.ReadAsync(CheckAsync, cancellationToken);

    /// <summary>Applies what is missing.</summary>
    public async Task ApplyAsync(Instant now, CancellationToken cancellationToken)
    {
        IReadOnlySet<int> applied = await CheckAsync(cancellationToken).ConfigureAwait(false);
        foreach (Migration migration in migrations.Where(m => !applied.Contains(m.Number)))
        {
            await engine.WriteAsync(session => ApplyAsync(session, migration, now), cancellationToken).ConfigureAwait(false);
        }
    }

    private async Task ApplyAsync(SqlSession session, Migration migration, Instant now)
    {
        await engine.LockAsync(session, "schema").ConfigureAwait(false);
        if ((await CheckAsync(session).ConfigureAwait(false)).Contains(migration.Number))
        {
            return;
        }

        await session.ExecuteAsync(VersionTable).ConfigureAwait(false);
        for (int i = 0; i < migration.Statements.Count; i++)
        {
            BeforeStatement?.Invoke(migration, i);
            await session.ExecuteAsync(migration.Statements[i]).ConfigureAwait(false);
        }

        BeforeStatement?.Invoke(migration, migration.Statements.Count);
        await session.ExecuteAsync(
            "INSERT INTO schema_version (number, name, hash, applied_at) VALUES (@number, @name, @hash, @at)",
            ("@number", migration.Number),
            ("@name", migration.Name),
            ("@hash", migration.Hash),
            ("@at", Stored.Ticks(now))).ConfigureAwait(false);
        BeforeStatement?.Invoke(migration, migration.Statements.Count + 1);
    }

    private async Task<IReadOnlySet<int>> CheckAsync(SqlSession session)
    {
        if (!await engine.HasVersionTableAsync(session).ConfigureAwait(false))
        {
            return new HashSet<int>();
        }

        List<(int Number, string Name, string Hash)> rows = await session.ListAsync(
            reader => (reader.Whole(0), reader.GetString(1), reader.GetString(2)),
            "SELECT number, name, hash FROM schema_version ORDER BY number").ConfigureAwait(false);
        return Check(rows, migrations);
    }

    /// <summary>Refuses steps on record that are not this program's.</summary>
    /// <returns>The numbers of the steps on record.</returns>
    public static IReadOnlySet<int> Check(IReadOnlyList<(int Number, string Name, string Hash)> rows, IReadOnlyList<Migration> migrations)
    {
        int known = migrations.Count == 0 ? 0 : migrations.Max(migration => migration.Number);
        (int newest, string newestName, _) = rows.Count == 0 ? (0, string.Empty, string.Empty) : rows[^1];
        if (newest > known)
        {
            throw new StoreRefusedException(
                StoreRefusal.NewerStore,
                string.Create(CultureInfo.InvariantCulture, $"A newer GraftWatch wrote this store: it is at step {newest} ({newestName}), this program knows steps up to {known}. Run the newer program, or restore a backup made before the upgrade."));
        }

        foreach ((int number, string name, string hash) in rows)
        {
            if (migrations.FirstOrDefault(migration => migration.Number == number)?.Hash != hash)
            {
                throw new StoreRefusedException(
                    StoreRefusal.ChangedMigration,
                    string.Create(CultureInfo.InvariantCulture, $"Step {number} ({name}) of this store differs from the program's: another build made it. Use the build that made it, or restore an export."));
            }
        }

        return rows.Select(row => row.Number).ToHashSet();
    }
}

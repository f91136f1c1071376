using GraftWatch.Records.Engine;
using GraftWatch.Records.Inspection;
using NodaTime;

namespace GraftWatch.Records;

/// <summary>How a SQLite store is opened.</summary>
public sealed record SqliteStoreOptions
{
    /// <summary>Clock of leases and of the migration record.</summary>
    public TimeProvider Clock { get; init; } = TimeProvider.System;

    /// <summary>How long a writer waits for another process before it fails.</summary>
    public Duration BusyTimeout { get; init; } = Duration.FromSeconds(5);

    /// <summary>Whether the whole file is checked for damage; short commands may leave it to the daemon.</summary>
    public bool CheckForDamage { get; init; } = true;

    /// <summary>Room on the disk that is kept so that receipts can be noted when it is full; 0 for none. More than the journal's 4 MiB, which must fit into the file then.</summary>
    public long ReserveBytes { get; init; } = 16 << 20;

    /// <summary>Whether a store of an older program is copied before it is brought to this program's schema.</summary>
    public bool CopyBeforeUpgrade { get; init; } = true;

    /// <summary>What is known of the disk.</summary>
    public DiskFacts Disk { get; init; } = DiskFacts.OfSystem;

    /// <summary>Largest size of the file in pages of 4 KiB, 0 for no bound; lets a test fill the "disk".</summary>
    internal long MaxPages { get; init; }

    /// <summary>Steps of the schema; a test may shorten them.</summary>
    internal IReadOnlyList<Migration>? Migrations { get; init; }

    /// <summary>Called before each statement of a migration; a test may end the process here.</summary>
    internal Action<Migration, int>? BeforeMigrationStatement { get; init; }
}

namespace GraftWatch.Records;

/// <summary>The store cannot be opened; the message says why and what to do, in words for the operator.</summary>
public sealed class StoreRefusedException : Exception
{
    public StoreRefusedException(StoreRefusal refusal, string message, Exception? inner = null)
        : base(message, inner) => Refusal = refusal;

    /// <summary>Closed list of causes.</summary>
    public StoreRefusal Refusal { get; }
}

/// <summary>Why a store was not opened.</summary>
public enum StoreRefusal
{
    /// <summary>A newer GraftWatch wrote it.</summary>
    NewerStore = 0,

    /// <summary>The file or database holds something else.</summary>
    ForeignStore,

    /// <summary>The check for damage failed.</summary>
    Damaged,

    /// <summary>The folder or file cannot be written, or does not exist.</summary>
    NotWritable,

    /// <summary>No room on the disk.</summary>
    DiskFull,

    /// <summary>The disk is a network share, which cannot hold the journal safely.</summary>
    NetworkDisk,

    /// <summary>The database library is too old to be trusted.</summary>
    OldLibrary,

    /// <summary>A migration on record differs from the one in the program.</summary>
    ChangedMigration,

    /// <summary>Another program works with it.</summary>
    InUse,

    /// <summary>The database server does not answer or refuses the sign-in.</summary>
    Unreachable,
}

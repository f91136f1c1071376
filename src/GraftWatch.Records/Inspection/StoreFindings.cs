namespace GraftWatch.Records.Inspection;

/// <summary>What a look at a store found; nothing was changed by it.</summary>
public sealed record StoreFindings
{
    /// <summary>Whether there is a store yet.</summary>
    public required bool Exists { get; init; }

    /// <summary>Last step of the schema that was applied; 0 for none.</summary>
    public int Step { get; init; }

    /// <summary>Last step this program knows.</summary>
    public required int KnownSteps { get; init; }

    /// <summary>Whether commands of this program may open the store without changing its schema.</summary>
    public bool IsCurrent => Exists && MissingSteps == 0;

    /// <summary>How many steps are not applied yet.</summary>
    public int MissingSteps { get; init; }

    /// <summary>Name and version of the database.</summary>
    public string Version { get; init; } = string.Empty;

    /// <summary>How it journals, in words.</summary>
    public string Journal { get; init; } = string.Empty;

    /// <summary>Its size. [bytes]</summary>
    public long Bytes { get; init; }

    /// <summary>Size of the letters of the last day that had any; 0 where it was not looked at. [bytes]</summary>
    public long LetterBytesADay { get; init; }

    /// <summary>Room on its disk; null where that is the server's affair. [bytes]</summary>
    public long? FreeBytes { get; init; }

    /// <summary>Process number of the program that sends letters from it now; empty when none does or it is not known.</summary>
    public string Sender { get; init; } = string.Empty;

    /// <summary>Where its contents were moved to; empty when they were not.</summary>
    public string MovedTo { get; init; } = string.Empty;

    /// <summary>What works and is probably not meant so: each a sentence and how to mend it.</summary>
    public IReadOnlyList<(string What, string Mend)> Remarks { get; init; } = [];
}

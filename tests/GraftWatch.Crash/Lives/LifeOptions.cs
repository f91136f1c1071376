using System.Globalization;

namespace GraftWatch.Crash.Lives;

/// <summary>How one life of the watched program goes; handed over as words of its command line.</summary>
public sealed record LifeOptions
{
    /// <summary>Folder of the installation.</summary>
    public required string Folder { get; init; }

    /// <summary>File of the shared clock.</summary>
    public required string Clock { get; init; }

    /// <summary>Port of the mail sink.</summary>
    public required int MailPort { get; init; }

    /// <summary>Address of the weather service.</summary>
    public required Uri Weather { get; init; }

    /// <summary>Hash of the sink's certificate; empty for a plain line.</summary>
    public string Certificate { get; init; } = string.Empty;

    /// <summary>Point at which the program dies; empty for none.</summary>
    public string Point { get; init; } = string.Empty;

    /// <summary>At the how-manieth time.</summary>
    public int Times { get; init; } = 1;

    /// <summary>What is wrong with the program on purpose.</summary>
    public Spoil Spoil { get; init; }

    /// <summary>The life ends well when the simulated time has come this far and no letter waits; 0 for never. Unix seconds.</summary>
    public long UntilSeconds { get; init; }

    /// <summary>Whether the program says which points it comes to.</summary>
    public bool TellsPoints { get; init; }

    /// <summary>Connection string of a PostgreSQL database; empty for a file.</summary>
    public string Postgres { get; init; } = string.Empty;

    /// <summary>Room the store keeps for receipts. [B]</summary>
    public long ReserveBytes { get; init; }

    /// <summary>Whether commits are synced less than they should be, as a control.</summary>
    public bool WeakSync { get; init; }

    /// <summary>Whether the operator now and then saves settings that are wrong, and mends them hours later.</summary>
    public bool ClumsyOperator { get; init; }

    /// <summary>Words for the command line.</summary>
    public string[] ToWords() =>
    [
        "live", Folder, Clock, Number(MailPort), Weather.ToString(), Certificate, Point, Number(Times), Spoil.ToString(),
        Number(UntilSeconds), TellsPoints ? "tell" : "quiet", Postgres, Number(ReserveBytes), WeakSync ? "weak" : "full",
        ClumsyOperator ? "clumsy" : "careful",
    ];

    /// <summary>Reads them back.</summary>
    public static LifeOptions FromWords(IReadOnlyList<string> words) => new()
    {
        Folder = words[1],
        Clock = words[2],
        MailPort = int.Parse(words[3], CultureInfo.InvariantCulture),
        Weather = new Uri(words[4]),
        Certificate = words[5],
        Point = words[6],
        Times = int.Parse(words[7], CultureInfo.InvariantCulture),
        Spoil = Enum.Parse<Spoil>(words[8]),
        UntilSeconds = long.Parse(words[9], CultureInfo.InvariantCulture),
        TellsPoints = words[10] == "tell",
        Postgres = words[11],
        ReserveBytes = long.Parse(words[12], CultureInfo.InvariantCulture),
        WeakSync = words[13] == "weak",
        ClumsyOperator = words[14] == "clumsy",
    };

    private static string Number(long number) => number.ToString(CultureInfo.InvariantCulture);
}

/// <summary>A fault put into the program on purpose; a harness that does not find it proves nothing.</summary>
public enum Spoil
{
    /// <summary>The program as it is.</summary>
    None = 0,

    /// <summary>Acceptance is never noted.</summary>
    ReceiptNever,

    /// <summary>Acceptance is noted before the letter is sent.</summary>
    ReceiptFirst,

    /// <summary>Nothing is noted before the first byte goes out.</summary>
    StartSkipped,

    /// <summary>A letter is said to be sealed and is not.</summary>
    SealForgotten,

    /// <summary>Each try sends other bytes.</summary>
    OtherBytes,

    /// <summary>The program's clock is eleven minutes ahead.</summary>
    EarlyClock,
}

using System.Text.Json.Serialization;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Archive;

// The shapes below are a file format: docs/store.md describes it, and a change needs a new version and a reader for the old one.

/// <summary>Everything a store holds, save the installation's secret.</summary>
internal sealed record ArchiveDocument(
    string Format,
    int Version,
    string? LettersForgottenBefore,
    ArchivePlace[] Places,
    ArchiveGrower[] Growers,
    ArchiveSeries[] Series,
    ArchiveWeatherDay[] Weather,
    ArchiveJobRun[] Jobs,
    ArchiveTally[] Tallies,
    ArchivePerson[]? People = null)
{
    public const string FormatName = "graftwatch-archive";

    public const int NewestVersion = 3;

    /// <summary>The oldest version that is still read; what it lacks takes its default.</summary>
    public const int OldestVersion = 1;
}

internal sealed record ArchivePlace(
    string Name,
    double LatitudeDeg,
    double LongitudeDeg,
    double ElevationM,
    double GroundAlbedoFrac,
    double RoughnessM,
    double ShelterWindFrac,
    double FrostOffsetK,
    double[] HorizonDeg,
    double AvailableSoilWaterMm,
    string Zone,
    string[] Assumed);

internal sealed record ArchiveGrower(
    string Name,
    int LastNumber,
    ArchiveGrowerDetail? Detail,
    ArchiveChannel[] Channels,
    ArchiveGraft[] Grafts,
    ArchiveNote[] Notes,
    ArchiveSaid[] Said,
    ArchiveAnswer[] Answers,
    ArchiveLetter[] Letters,
    ArchiveStop? Stop = null,
    ArchiveFeed? Feed = null,
    ArchiveLine[]? Lines = null);

/// <summary>What an address chose on the pages. Links and sessions are in no archive: who moves signs in again.</summary>
internal sealed record ArchivePerson(string Address, string? Language, string? AskedAt, string? ConfirmedAt);

/// <summary>Which calendar address is in force.</summary>
internal sealed record ArchiveFeed(int Number, string RenewedAt, string? ClosedAt);

/// <summary>A line of a letter that links may name.</summary>
internal sealed record ArchiveLine(string Advice, string SaidOn, string SaidAt, int Position, string Action, string Hazard, string Level, string[] Materials, string[] Labels, string Words);

/// <summary>Since when, and by whose word, the grower's letters are stopped.</summary>
internal sealed record ArchiveStop(string At, string By);

internal sealed record ArchiveGrowerDetail(string Address, string Zone, string LetterTime, string Units, string[] Places, ArchiveWishes? Wishes = null);

internal sealed record ArchiveWishes(int UrgentADay, string? HoldFrom, string? HoldUntil, bool FrostPasses, bool Picture, bool Calendar);

internal sealed record ArchiveChannel(string Name, string Kind, string Target, bool Morning, bool Urgent, string? HeldFrom, string? HeldTo);

internal sealed record ArchiveGraft(
    string Label,
    string Place,
    string Block,
    string Row,
    string Tree,
    string Species,
    string Scion,
    string Stock,
    string Technique,
    string Made,
    int Count,
    double AspectDeg,
    double TiltDeg,
    double HeightM,
    double DiameterM,
    string Cover,
    bool CoverVented,
    string Tie,
    string Seal,
    double? ShootM,
    int? Bbch,
    int NurseBuds,
    string Support,
    string Notes,
    string[] Assumed);

internal sealed record ArchiveNote(string Label, string At, string Kind, double? Value, string Words, string NotedAt, string? UndoneAt);

internal sealed record ArchiveSaid(string Action, string Hazard, string Label, string FirstSaid, string LastSaid, string SaidAt, string Level);

internal sealed record ArchiveAnswer(string Action, string Hazard, string[] Labels, string State, string? Until, string At, string? On, string? UndoneAt);

internal sealed record ArchiveLetter(
    string Date,
    string Kind,
    int Ordinal,
    int Number,
    string MessageId,
    string Recipient,
    string Subject,
    byte[] Bytes,
    string SealedAt,
    string State,
    string? LastTryAt,
    string LastDetail,
    string? NextTryAt,
    ArchiveTry[] Tries,
    string Channel = LetterSlot.Mail,
    string? UsefulUntil = null,
    ArchiveLetGo? LetGo = null);

/// <summary>What is known of bytes that were let go: how many they were, and their hash.</summary>
internal sealed record ArchiveLetGo(long Size, byte[] Sha256);

internal sealed record ArchiveTry(string At, string Outcome, string Reason, string Detail);

/// <summary>From when to when the joined hours of a place go; their days stand under an empty source.</summary>
internal sealed record ArchiveSeries(string Place, string Source, string Credit, string IssuedAt, string FirstHourEnd, string LastHourEnd);

internal sealed record ArchiveWeatherDay(string Place, string Source, string Day, string SavedAt, ArchiveColumn[] Columns);

/// <summary>24 hours of one quantity; hour 0 ends at 01:00 UTC, a gap is null.</summary>
internal sealed record ArchiveColumn(string Quantity, string[] Origins, double?[] Values);

internal sealed record ArchiveJobRun(string Job, string DueAt, string StartedAt, string? EndedAt, bool Good, string Detail);

internal sealed record ArchiveTally(string Host, string CountedAt, double MinuteUsed, double HourUsed, double DayUsed, string? NotBefore, string Why);

/// <summary>Strict both ways: what is not known, missing or double is refused.</summary>
[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase,
    UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
    RespectNullableAnnotations = true,
    RespectRequiredConstructorParameters = true,
    AllowDuplicateProperties = false)]
[JsonSerializable(typeof(ArchiveDocument))]
internal sealed partial class ArchiveJson : JsonSerializerContext;

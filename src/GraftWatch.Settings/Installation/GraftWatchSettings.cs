using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Settings.Installation;

/// <summary>What graftwatch.toml says, checked.</summary>
public sealed record GraftWatchSettings
{
    /// <summary>Places, in file order; at least one unless there is a table [page].</summary>
    public required IReadOnlyList<Place> Places { get; init; }

    /// <summary>Growers, in file order; at least one unless there is a table [page].</summary>
    public required IReadOnlyList<GrowerSettings> Growers { get; init; }

    /// <summary>The mail server; null when the file has none, and letters are then only printed.</summary>
    public MailSettings? Mail { get; init; }

    /// <summary>Ways besides mail, in file order.</summary>
    public IReadOnlyList<ChannelSettings> Channels { get; init; } = [];

    /// <summary>How mornings are kept.</summary>
    public LetterSettings Letters { get; init; } = new();

    /// <summary>The pages of the daemon.</summary>
    public PageSettings Page { get; init; } = new();

    /// <summary>Mail address that is told when something is amiss; null when the file has none.</summary>
    public string? OperatorAddress { get; init; }

    /// <summary>What keeps the records.</summary>
    public StoreSettings Store { get; init; } = new();

    /// <summary>The weather source.</summary>
    public required WeatherSettings Weather { get; init; }

    /// <summary>Folder of the store and of letters, absolute when the file was read from disk.</summary>
    public required string DataFolder { get; init; }

    /// <summary>The file it was read from.</summary>
    public required string File { get; init; }
}

/// <summary>One grower.</summary>
public sealed record GrowerSettings
{
    /// <summary>Name as the letter greets.</summary>
    public required string Name { get; init; }

    /// <summary>Mail address.</summary>
    public required string Address { get; init; }

    /// <summary>Local time of the morning letter.</summary>
    public required LocalTime LetterTime { get; init; }

    /// <summary>Units of the texts.</summary>
    public required UnitSystem Units { get; init; }

    /// <summary>Names of the grower's places; the first gives the zone of the letter hour.</summary>
    public required IReadOnlyList<string> Places { get; init; }

    /// <summary>Zone of the letter hour and of the local day.</summary>
    public required DateTimeZone Zone { get; init; }

    /// <summary>Path of the register as CSV; null when the register lives in the store only.</summary>
    public string? RegisterPath { get; init; }

    /// <summary>Graftings the grower plans, in file order.</summary>
    public IReadOnlyList<PlannedGrafting> Planned { get; init; } = [];

    /// <summary>Language of the grower's pages, <c>en</c> or <c>de</c>; null for what the browser asks for.</summary>
    public string? Language { get; init; }

    /// <summary>Channels of the morning letter: <c>mail</c> or names of <see cref="ChannelSettings"/>; at least one.</summary>
    public IReadOnlyList<string> Morning { get; init; } = [ChannelSettings.Mail];

    /// <summary>Channels of urgent notes; empty for none.</summary>
    public IReadOnlyList<string> Urgent { get; init; } = [ChannelSettings.Mail];

    /// <summary>Most urgent notes a local day.</summary>
    public int UrgentADay { get; init; } = 3;

    /// <summary>Local time from which urgent notes are held; null for never.</summary>
    public LocalTime? HoldFrom { get; init; }

    /// <summary>Local time until which urgent notes are held; null for never.</summary>
    public LocalTime? HoldUntil { get; init; }

    /// <summary>Whether a note about frost goes out in the holding hours all the same.</summary>
    public bool FrostPasses { get; init; } = true;

    /// <summary>Whether the letter carries the picture of the next days.</summary>
    public bool Picture { get; init; } = true;

    /// <summary>Whether the letter carries its calendar part.</summary>
    public bool Calendar { get; init; } = true;
}

/// <summary>A way besides mail.</summary>
public sealed record ChannelSettings
{
    /// <summary>Name of the way that needs no table of its own.</summary>
    public const string Mail = "mail";

    /// <summary>Name, unique.</summary>
    public required string Name { get; init; }

    /// <summary>What is spoken there.</summary>
    public required ChannelKind Kind { get; init; }

    /// <summary>Where to: https or http for posts and Matrix, mqtts or mqtt with the topic as path for a broker.</summary>
    public required Uri Address { get; init; }

    /// <summary>Id of the Matrix room; null for other kinds.</summary>
    public string? Room { get; init; }

    /// <summary>User name at the broker; null for no sign-in.</summary>
    public string? User { get; init; }

    /// <summary>File that holds the secret and nothing else; null when the environment or the service manager hands it over.</summary>
    public string? SecretFile { get; init; }

    /// <summary>Further headers of a post, name and value.</summary>
    public IReadOnlyDictionary<string, string> Headers { get; init; } = new Dictionary<string, string>(StringComparer.OrdinalIgnoreCase);

    /// <summary>Longest text a gateway takes. [bytes of UTF-8]</summary>
    public int LongestBytes { get; init; } = 4000;

    /// <summary>Whether the address may lead into the operator's own network.</summary>
    public bool Inside { get; init; }
}

/// <summary>What is spoken on a way besides mail.</summary>
public enum ChannelKind
{
    /// <summary>A JSON POST with a Standard Webhooks signature.</summary>
    SignedPost = 0,

    /// <summary>A short plain-text POST.</summary>
    TextPost,

    /// <summary>MQTT 5.</summary>
    Mqtt,

    /// <summary>A Matrix room.</summary>
    Matrix,
}

/// <summary>How mornings are kept.</summary>
public sealed record LetterSettings
{
    /// <summary>Local time from which a morning letter has lost its use.</summary>
    public LocalTime TooLate { get; init; } = new(16, 0);

    /// <summary>Whether a letter whose hour passed while nothing ran is left out.</summary>
    public bool SkipMissed { get; init; }
}

/// <summary>The pages of the daemon.</summary>
public sealed record PageSettings
{
    /// <summary>Where the pages listen unless said otherwise: this machine only.</summary>
    public const string UsualListen = "127.0.0.1:8620";

    /// <summary>Address by which growers reach the pages, with the path of a reverse proxy; null when they cannot, and letters carry no links.</summary>
    public Uri? PublicAddress { get; init; }

    /// <summary>Address and port the pages listen on.</summary>
    public string Listen { get; init; } = UsualListen;

    /// <summary>Reverse proxies whose word about the caller is taken.</summary>
    public IReadOnlyList<System.Net.IPNetwork> TrustedProxies { get; init; } = [];

    /// <summary>Whether anyone may subscribe.</summary>
    public bool Subscriptions { get; init; }

    /// <summary>Base address of an open geocoding API; null when places are given by coordinates.</summary>
    public Uri? Geocoder { get; init; }
}

/// <summary>What keeps the records.</summary>
public sealed record StoreSettings
{
    /// <summary>Kind of store.</summary>
    public StoreKind Kind { get; init; }

    /// <summary>Name of the PostgreSQL server, or the folder of its socket.</summary>
    public string Host { get; init; } = "localhost";

    /// <summary>Port of the PostgreSQL server.</summary>
    public int Port { get; init; } = 5432;

    /// <summary>Name of the database.</summary>
    public string Database { get; init; } = "graftwatch";

    /// <summary>User name.</summary>
    public string User { get; init; } = "graftwatch";

    /// <summary>Whether the line is encrypted and the server's certificate checked.</summary>
    public bool Tls { get; init; }

    /// <summary>File that holds the password and nothing else; null when the environment or the service manager hands it over.</summary>
    public string? PasswordFile { get; init; }
}

/// <summary>Kind of store.</summary>
public enum StoreKind
{
    /// <summary>A file in the data folder.</summary>
    Sqlite = 0,

    /// <summary>A PostgreSQL server that several machines share.</summary>
    Postgresql,
}

/// <summary>How letters leave.</summary>
public sealed record MailSettings
{
    /// <summary>Name of the mail server.</summary>
    public required string Host { get; init; }

    /// <summary>Port.</summary>
    public required int Port { get; init; }

    /// <summary>How the line is secured.</summary>
    public required MailSecurity Security { get; init; }

    /// <summary>Address letters come from.</summary>
    public required string From { get; init; }

    /// <summary>Name beside the sender's address.</summary>
    public string FromName { get; init; } = "GraftWatch";

    /// <summary>Address replies go to; null when nobody reads them.</summary>
    public string? ReplyTo { get; init; }

    /// <summary>SHA-256 of the server's certificate, 64 hexadecimal digits; null for the usual trust.</summary>
    public string? CertificateSha256 { get; init; }

    /// <summary>User name at the server; null when it asks for none.</summary>
    public string? User { get; init; }

    /// <summary>File that holds the password and nothing else; null when the environment or the service manager hands it over.</summary>
    public string? PasswordFile { get; init; }
}

/// <summary>How a line to a mail server is secured.</summary>
public enum MailSecurity
{
    /// <summary>Encrypted from the first byte (RFC 8314), usually port 465.</summary>
    Tls = 0,

    /// <summary>Opens plain and must switch to encryption (RFC 3207), usually port 587.</summary>
    StartTls,

    /// <summary>Not encrypted; for a server on the same machine only.</summary>
    Plain,
}

/// <summary>Where weather comes from.</summary>
public sealed record WeatherSettings
{
    /// <summary>The words for weather sources.</summary>
    public static IReadOnlyList<string> SourceWords { get; } = ["open-meteo", "met-norway", "us-national-weather-service"];

    /// <summary>Sources in the order they are tried, of <see cref="SourceWords"/>; at least one.</summary>
    public IReadOnlyList<string> Sources { get; init; } = ["open-meteo"];

    /// <summary>Another order for single places, by name.</summary>
    public IReadOnlyDictionary<string, IReadOnlyList<string>> SourcesOfPlace { get; init; } = new Dictionary<string, IReadOnlyList<string>>(StringComparer.Ordinal);

    /// <summary>A source to hold the one used against; null for none.</summary>
    public string? Compare { get; init; }

    /// <summary>Whether an ensemble is fetched.</summary>
    public bool Ensemble { get; init; }

    /// <summary>Files of growers' own stations by name of the place, absolute when the settings were read from disk.</summary>
    public IReadOnlyDictionary<string, string> StationOfPlace { get; init; } = new Dictionary<string, string>(StringComparer.Ordinal);

    /// <summary>Base address of the open forecast API.</summary>
    public required Uri Address { get; init; }

    /// <summary>Mail address or page by which the service can reach who runs this; goes into the request's user agent. Empty when not given.</summary>
    public string Contact { get; init; } = string.Empty;
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Settings.Installation;

/// <summary>What graftwatch.toml says, checked.</summary>
public sealed record GraftWatchSettings
{
    /// <summary>Places, in file order; at least one.</summary>
    public required IReadOnlyList<Place> Places { get; init; }

    /// <summary>Growers, in file order; at least one.</summary>
    public required IReadOnlyList<GrowerSettings> Growers { get; init; }

    /// <summary>The mail server; null when the file has none, and letters are then only printed.</summary>
    public MailSettings? Mail { get; init; }

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

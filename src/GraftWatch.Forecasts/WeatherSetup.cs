using GraftWatch.Forecasts.Joining;
using GraftWatch.Forecasts.MetNorway;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Forecasts.UsWeatherService;

namespace GraftWatch.Forecasts;

/// <summary>All a settings file says about weather; <see cref="ForecastServices.AddWeather"/> makes the sources of it.</summary>
public sealed record WeatherSetup
{
    /// <summary>Words for the sources in settings, matched without regard to case, blanks and dashes.</summary>
    public static IReadOnlyList<string> SourceWords { get; } = ["open-meteo", "met-norway", "us-national-weather-service"];

    /// <summary>Base address of the open forecast API: the free host, a customer host, or a server of one's own.</summary>
    public Uri Address { get; init; } = OpenForecastOptions.FreeHost;

    /// <summary>Key of a customer of that service; null without.</summary>
    public string? Key { get; init; }

    /// <summary>Mail address or page by which services reach who runs this; MET Norway and the US service are not asked without.</summary>
    public string Contact { get; init; } = string.Empty;

    /// <summary>Version for the user agent.</summary>
    public string Version { get; init; } = "0";

    /// <summary>Sources in the order they are tried, of <see cref="SourceWords"/>.</summary>
    public IReadOnlyList<string> Order { get; init; } = ["open-meteo"];

    /// <summary>Another order for single places, by name.</summary>
    public IReadOnlyDictionary<string, IReadOnlyList<string>> OrderOfPlace { get; init; } = new Dictionary<string, IReadOnlyList<string>>(StringComparer.Ordinal);

    /// <summary>A source to hold the first against; null for none.</summary>
    public string? CompareWith { get; init; }

    /// <summary>Whether an ensemble is fetched, which weighs about thirty times as much as a forecast.</summary>
    public bool WithEnsemble { get; init; }

    /// <summary>Model whose run tells the age of a forecast; null for the time of fetching.</summary>
    public string? RunOf { get; init; }

    /// <summary>Station files by name of the place.</summary>
    public IReadOnlyDictionary<string, string> Stations { get; init; } = new Dictionary<string, string>(StringComparer.Ordinal);

    /// <summary>Folder for kept replies; null keeps them in memory, unless the application has a store for them.</summary>
    public string? Folder { get; init; }

    /// <summary>How forecasts are joined and judged; its orders are taken from this record.</summary>
    public JoinedWeatherOptions Joining { get; init; } = new();

    /// <summary>Base address of MET Norway.</summary>
    public Uri MetNorwayAddress { get; init; } = new MetNorwayOptions().BaseUrl;

    /// <summary>Base address of the US National Weather Service.</summary>
    public Uri UsAddress { get; init; } = new UsWeatherOptions().BaseUrl;

    internal string UserAgent => Contact.Length == 0 ? $"graftwatch/{Version}" : $"graftwatch/{Version} {Contact}";

    /// <summary>The sibling host of the open forecast API for an endpoint; a server of one's own has them all under one address.</summary>
    internal Uri Sibling(string name)
    {
        const string Domain = "open-meteo.com";
        if (!Address.Host.EndsWith("." + Domain, StringComparison.OrdinalIgnoreCase))
        {
            return Address;
        }

        string customer = Address.Host.StartsWith("customer-", StringComparison.OrdinalIgnoreCase) ? "customer-" : string.Empty;
        return new Uri($"https://{customer}{name}.{Domain}");
    }
}

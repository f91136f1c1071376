using GraftWatch.Forecasts.Fetching;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>How the open forecast API is asked.</summary>
public sealed record OpenForecastOptions
{
    /// <summary>The free host; for non-commercial use, without a key.</summary>
    public static Uri FreeHost { get; } = new("https://api.open-meteo.com");

    /// <summary>Credit line the licence asks for (CC BY 4.0).</summary>
    public const string CreditLine = "Weather data by Open-Meteo.com (CC BY 4.0), processed here: https://open-meteo.com/";

    /// <summary>Where the service is: the free host, a customer host or a server of one's own.</summary>
    public Uri BaseUrl { get; init; } = FreeHost;

    /// <summary>Key of a customer; sent as a header, never in the address.</summary>
    public string? ApiKey { get; init; }

    /// <summary>How we name ourselves, with a contact.</summary>
    public string UserAgent { get; init; } = "GraftWatch";

    /// <summary>Days before today that are fetched. [d], 1 to 92.</summary>
    public int PastDays { get; init; } = 2;

    /// <summary>Days from today on that are fetched. [d], 1 to 15; the last hours of the sixteenth day are often missing.</summary>
    public int ForecastDays { get; init; } = 11;

    /// <summary>Model, or null for the service's best match at each place.</summary>
    public string? Model { get; init; }

    /// <summary>Name of the model whose last run tells the age of the forecast, as the service's notes call it (dwd_icon, ecmwf_ifs, ncep_gfs013 …); null: the time of fetching has to do.</summary>
    public string? RunOf { get; init; }

    /// <summary>One try.</summary>
    public Duration AttemptTimeout { get; init; } = Duration.FromSeconds(15);

    /// <summary>All tries of one request together, waiting included.</summary>
    public Duration TotalTimeout { get; init; } = Duration.FromSeconds(45);

    /// <summary>Tries after the first.</summary>
    public int MostRetries { get; init; } = 2;

    /// <summary>Before the second try; doubles from there, with jitter.</summary>
    public Duration FirstDelay { get; init; } = Duration.FromSeconds(1);

    /// <summary>Longest reply read.</summary>
    public int MostBytes { get; init; } = 32 * 1024 * 1024;

    /// <summary>Locations in one request. 1 to 1000.</summary>
    public int MostLocations { get; init; } = 100;

    /// <summary>How politely the host is asked; null for what fits the host.</summary>
    public CourtesyPolicy? Courtesy { get; init; }

    /// <summary>The policy in force.</summary>
    internal CourtesyPolicy CourtesyInForce => Courtesy ?? (BaseUrl.Host == FreeHost.Host ? CourtesyPolicy.FreeHost : CourtesyPolicy.OwnHost);

    internal LineOptions Line => new()
    {
        AttemptTimeout = AttemptTimeout,
        TotalTimeout = TotalTimeout,
        FirstDelay = FirstDelay,
        MostRetries = MostRetries,
        MostBytes = MostBytes,
    };
}

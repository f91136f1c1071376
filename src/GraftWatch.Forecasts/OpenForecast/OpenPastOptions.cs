using GraftWatch.Forecasts.Fetching;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Which archive of past hours is asked, and how.</summary>
public sealed record OpenPastOptions
{
    /// <summary>The archive of what models analysed, from 1940 on.</summary>
    public static Uri FreeArchive { get; } = new("https://archive-api.open-meteo.com");

    /// <summary>The archive of what was forecast for the next hours, joined run by run, from about 2022 on; closest to the daily forecast.</summary>
    public static Uri FreeHistoricalForecast { get; } = new("https://historical-forecast-api.open-meteo.com");

    /// <summary>Where the service is.</summary>
    public Uri BaseUrl { get; init; } = FreeHistoricalForecast;

    /// <summary>Whether the address is that of the archive of analyses; else of past forecasts.</summary>
    public bool IsArchive { get; init; }

    /// <summary>Key of a customer; sent as a header.</summary>
    public string? ApiKey { get; init; }

    /// <summary>How we name ourselves, with a contact.</summary>
    public string UserAgent { get; init; } = "GraftWatch";

    /// <summary>One try; archives take seconds.</summary>
    public Duration AttemptTimeout { get; init; } = Duration.FromSeconds(40);

    /// <summary>All tries together.</summary>
    public Duration TotalTimeout { get; init; } = Duration.FromSeconds(90);

    /// <summary>Before the second try.</summary>
    public Duration FirstDelay { get; init; } = Duration.FromSeconds(2);

    /// <summary>Tries after the first.</summary>
    public int MostRetries { get; init; } = 2;

    /// <summary>How politely the host is asked; null for what fits the host.</summary>
    public CourtesyPolicy? Courtesy { get; init; }

    internal CourtesyPolicy CourtesyInForce =>
        Courtesy ?? (BaseUrl.Host == FreeArchive.Host || BaseUrl.Host == FreeHistoricalForecast.Host ? CourtesyPolicy.FreeHost : CourtesyPolicy.OwnHost);

    internal LineOptions Line => new()
    {
        AttemptTimeout = AttemptTimeout,
        TotalTimeout = TotalTimeout,
        FirstDelay = FirstDelay,
        MostRetries = MostRetries,
        MostBytes = 96 * 1024 * 1024,
    };
}

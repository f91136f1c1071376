using GraftWatch.Forecasts.Fetching;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Which ensemble is asked for, and how.</summary>
public sealed record OpenEnsembleOptions
{
    /// <summary>The free host.</summary>
    public static Uri FreeHost { get; } = new("https://ensemble-api.open-meteo.com");

    /// <summary>Where the service is.</summary>
    public Uri BaseUrl { get; init; } = FreeHost;

    /// <summary>Key of a customer; sent as a header.</summary>
    public string? ApiKey { get; init; }

    /// <summary>How we name ourselves, with a contact.</summary>
    public string UserAgent { get; init; } = "GraftWatch";

    /// <summary>One ensemble; several would be several replies in one.</summary>
    public string Model { get; init; } = "ecmwf_ifs025_ensemble";

    /// <summary>Members including the control run, for the weight of the request. [-]</summary>
    public int Members { get; init; } = 51;

    /// <summary>Days from today on. [d], 1 to 15. The weight grows with it.</summary>
    public int ForecastDays { get; init; } = 5;

    /// <summary>Columns that move with the members; the rest is the main run's.</summary>
    public IReadOnlyList<string> Columns { get; init; } =
        ["temperature_2m", "dew_point_2m", "wind_speed_10m", "wind_gusts_10m", "shortwave_radiation", "cloud_cover"];

    /// <summary>One try.</summary>
    public Duration AttemptTimeout { get; init; } = Duration.FromSeconds(25);

    /// <summary>All tries together.</summary>
    public Duration TotalTimeout { get; init; } = Duration.FromSeconds(60);

    /// <summary>Before the second try.</summary>
    public Duration FirstDelay { get; init; } = Duration.FromSeconds(2);

    /// <summary>Tries after the first.</summary>
    public int MostRetries { get; init; } = 1;

    /// <summary>How politely the host is asked; null for what fits the host.</summary>
    public CourtesyPolicy? Courtesy { get; init; }

    internal CourtesyPolicy CourtesyInForce => Courtesy ?? (BaseUrl.Host == FreeHost.Host ? CourtesyPolicy.FreeHost : CourtesyPolicy.OwnHost);

    internal LineOptions Line => new() { AttemptTimeout = AttemptTimeout, TotalTimeout = TotalTimeout, FirstDelay = FirstDelay, MostRetries = MostRetries };
}

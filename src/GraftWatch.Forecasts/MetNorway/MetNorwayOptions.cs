using GraftWatch.Forecasts.Fetching;
using NodaTime;

namespace GraftWatch.Forecasts.MetNorway;

/// <summary>How MET Norway's Locationforecast is asked.</summary>
public sealed record MetNorwayOptions
{
    /// <summary>Credit line the licences ask for (NLOD 2.0 and CC BY 4.0).</summary>
    public const string CreditLine = "Data from MET Norway (CC BY 4.0), processed here: https://www.met.no/";

    /// <summary>Where the service is.</summary>
    public Uri BaseUrl { get; init; } = new("https://api.met.no");

    /// <summary>Name and contact, as the terms ask: <c>graftwatch/1.0 you@example.org</c>. Without it the service is not asked at all, for it would bar the address.</summary>
    public string UserAgent { get; init; } = string.Empty;

    /// <summary>One try.</summary>
    public Duration AttemptTimeout { get; init; } = Duration.FromSeconds(15);

    /// <summary>All tries together.</summary>
    public Duration TotalTimeout { get; init; } = Duration.FromSeconds(40);

    /// <summary>Before the second try.</summary>
    public Duration FirstDelay { get; init; } = Duration.FromSeconds(2);

    /// <summary>Tries after the first.</summary>
    public int MostRetries { get; init; } = 1;

    /// <summary>How politely the host is asked; its own limit is 20 requests a second for everybody who uses the same program.</summary>
    public CourtesyPolicy Courtesy { get; init; } = new() { MostInFlight = 2, PerMinute = 60, PerHour = 1_500, PerDay = 10_000 };

    internal LineOptions Line => new()
    {
        AttemptTimeout = AttemptTimeout,
        TotalTimeout = TotalTimeout,
        FirstDelay = FirstDelay,
        MostRetries = MostRetries,
        MostBytes = 4 * 1024 * 1024,
    };
}

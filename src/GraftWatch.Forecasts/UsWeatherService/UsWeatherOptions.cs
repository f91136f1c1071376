using GraftWatch.Forecasts.Fetching;
using NodaTime;

namespace GraftWatch.Forecasts.UsWeatherService;

/// <summary>How the US National Weather Service is asked; it covers the United States and their territories.</summary>
public sealed record UsWeatherOptions
{
    /// <summary>Credit line; the data are free for any use, naming the service is courteous.</summary>
    public const string CreditLine = "Forecast by the US National Weather Service, processed here: https://www.weather.gov/";

    /// <summary>Where the service is.</summary>
    public Uri BaseUrl { get; init; } = new("https://api.weather.gov");

    /// <summary>Name and contact: <c>(graftwatch, you@example.org)</c>. Without it the service refuses.</summary>
    public string UserAgent { get; init; } = string.Empty;

    /// <summary>How long the cell of a place is believed; offices move their grids without notice.</summary>
    public Duration CellFor { get; init; } = Duration.FromDays(7);

    /// <summary>One try.</summary>
    public Duration AttemptTimeout { get; init; } = Duration.FromSeconds(15);

    /// <summary>All tries together; the service's own faults often pass within ten seconds.</summary>
    public Duration TotalTimeout { get; init; } = Duration.FromSeconds(60);

    /// <summary>Before the second try.</summary>
    public Duration FirstDelay { get; init; } = Duration.FromSeconds(4);

    /// <summary>Tries after the first.</summary>
    public int MostRetries { get; init; } = 3;

    /// <summary>How politely the host is asked; its limit is not published.</summary>
    public CourtesyPolicy Courtesy { get; init; } = new() { PerMinute = 60, PerHour = 1_500, PerDay = 10_000 };

    internal LineOptions Line => new()
    {
        AttemptTimeout = AttemptTimeout,
        TotalTimeout = TotalTimeout,
        FirstDelay = FirstDelay,
        MostRetries = MostRetries,
        MostBytes = 16 * 1024 * 1024,
    };
}

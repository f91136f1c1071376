using Refit;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>The forecast endpoint. The reply is handed on unread, so that length, deadline and content are judged in one place.</summary>
internal interface IOpenForecastApi
{
    /// <summary>Hours of one or many locations.</summary>
    /// <param name="latitude">Degrees, comma between locations.</param>
    /// <param name="longitude">Degrees, comma between locations.</param>
    /// <param name="elevation">Metres, comma between locations.</param>
    /// <param name="hourly">Columns, comma between.</param>
    /// <param name="pastDays">Days before today. 0 to 92.</param>
    /// <param name="forecastDays">Days from today on. 0 to 16.</param>
    /// <param name="timezone">GMT, always: the service knows one offset for a whole reply.</param>
    /// <param name="timeformat">unixtime, always.</param>
    /// <param name="windSpeedUnit">ms, always.</param>
    /// <param name="models">Model, or null for the best match.</param>
    /// <param name="key">Key of a customer, or null.</param>
    /// <param name="cancellationToken">Cancels.</param>
    [Get("/v1/forecast")]
    Task<HttpResponseMessage> ForecastAsync(
        string latitude,
        string longitude,
        string elevation,
        string hourly,
        [AliasAs("past_days")] int pastDays,
        [AliasAs("forecast_days")] int forecastDays,
        string timezone,
        string timeformat,
        [AliasAs("wind_speed_unit")] string windSpeedUnit,
        string? models,
        [Header("X-Api-Key")] string? key,
        CancellationToken cancellationToken);
}

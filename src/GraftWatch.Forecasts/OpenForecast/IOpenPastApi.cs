using Refit;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>The endpoints for past days: the archive of analyses and the archive of forecasts, one location a request.</summary>
internal interface IOpenPastApi
{
    [Get("/v1/archive")]
    Task<HttpResponseMessage> ArchiveAsync(
        string latitude,
        string longitude,
        string elevation,
        string hourly,
        [AliasAs("start_date")] string startDate,
        [AliasAs("end_date")] string endDate,
        string timezone,
        string timeformat,
        [AliasAs("wind_speed_unit")] string windSpeedUnit,
        [Header("X-Api-Key")] string? key,
        CancellationToken cancellationToken);

    [Get("/v1/forecast")]
    Task<HttpResponseMessage> PastForecastAsync(
        string latitude,
        string longitude,
        string elevation,
        string hourly,
        [AliasAs("start_date")] string startDate,
        [AliasAs("end_date")] string endDate,
        string timezone,
        string timeformat,
        [AliasAs("wind_speed_unit")] string windSpeedUnit,
        [Header("X-Api-Key")] string? key,
        CancellationToken cancellationToken);
}

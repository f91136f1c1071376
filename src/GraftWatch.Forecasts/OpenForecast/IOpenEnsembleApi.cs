using Refit;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>The endpoint for ensembles.</summary>
internal interface IOpenEnsembleApi
{
    [Get("/v1/ensemble")]
    Task<HttpResponseMessage> EnsembleAsync(
        string latitude,
        string longitude,
        string elevation,
        string hourly,
        string models,
        [AliasAs("forecast_days")] int forecastDays,
        string timezone,
        string timeformat,
        [AliasAs("wind_speed_unit")] string windSpeedUnit,
        [Header("X-Api-Key")] string? key,
        CancellationToken cancellationToken);
}

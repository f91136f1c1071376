using Refit;

namespace GraftWatch.Forecasts.MetNorway;

/// <summary>Locationforecast 2.0, complete product: one point a request, at most four decimals, never before the last reply expires.</summary>
internal interface IMetNorwayApi
{
    [Get("/weatherapi/locationforecast/2.0/complete")]
    Task<HttpResponseMessage> CompleteAsync(string lat, string lon, string altitude, [Header("If-Modified-Since")] string? since, CancellationToken cancellationToken);
}

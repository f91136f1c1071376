using Refit;

namespace GraftWatch.Forecasts.UsWeatherService;

/// <summary>The US National Weather Service: from a point to its grid cell, and the cell's raw layers. Unknown parameters are an error here.</summary>
internal interface IUsWeatherApi
{
    [Get("/points/{latitude},{longitude}")]
    Task<HttpResponseMessage> PointAsync(string latitude, string longitude, CancellationToken cancellationToken);

    [Get("/gridpoints/{office}/{x},{y}")]
    Task<HttpResponseMessage> GridAsync(string office, int x, int y, [Header("If-Modified-Since")] string? since, CancellationToken cancellationToken);
}

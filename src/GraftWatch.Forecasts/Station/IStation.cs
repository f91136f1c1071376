using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Station;

/// <summary>The grower's own instruments.</summary>
public interface IStation
{
    /// <summary>Measured hours that end in [<paramref name="from"/>, <paramref name="to"/>]; never throws for what a file holds.</summary>
    Task<StationHours> ReadAsync(Place place, Instant from, Instant to, CancellationToken cancellationToken);
}

/// <summary>What a station measured.</summary>
/// <param name="Weather">Hours; null when there are none.</param>
/// <param name="Gaps">What could not be read, one sentence each.</param>
public sealed record StationHours(HourlyWeather? Weather, IReadOnlyList<string> Gaps)
{
    /// <summary>No station at this place.</summary>
    public static StationHours None { get; } = new(null, []);
}

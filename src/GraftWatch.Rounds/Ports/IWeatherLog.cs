using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>The hours that were ever known of a place, so that healing clocks and replays need no service to remember them.</summary>
/// <remarks>
/// A later run replaces hours that were forecast or computed, and never takes a known hour away. An hour that was measured or
/// analysed stays as it first came, save that a measurement takes the place of an analysis.
/// </remarks>
public interface IWeatherLog
{
    /// <summary>Keeps all hours of a run, past and forecast, in one transaction.</summary>
    /// <param name="place">Name of the place.</param>
    /// <param name="source">Name of the source; sources are kept apart.</param>
    /// <param name="weather">The hours.</param>
    /// <param name="at">When the run was fetched or made.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    Task KeepAsync(string place, string source, HourlyWeather weather, Instant at, CancellationToken cancellationToken);

    /// <summary>The hours known between two stamps, gaps as NaN; null when no hour is known.</summary>
    /// <param name="place">Name of the place.</param>
    /// <param name="source">Name of the source.</param>
    /// <param name="firstHourEnd">End of the first hour; a whole UTC hour.</param>
    /// <param name="lastHourEnd">End of the last hour; a whole UTC hour.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    Task<HourlyWeather?> LoadAsync(string place, string source, Instant firstHourEnd, Instant lastHourEnd, CancellationToken cancellationToken);
}

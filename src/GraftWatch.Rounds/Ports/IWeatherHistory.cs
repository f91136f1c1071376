using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Keeps the hours of each place as services gave them, so that healing needs no refetch and a failed morning has the last good forecast.</summary>
/// <remarks>
/// Model hours only: what the grower's own station measured is read from its file each time, what we derive is derived again. The hours of a
/// place form one series; a save replaces the hours it covers, keeps earlier ones and drops later ones, which an older run had forecast.
/// </remarks>
public interface IWeatherHistory
{
    /// <summary>The kept hours that end at or after <paramref name="from"/>, with who forecast them last; null when there are none.</summary>
    Task<KeptWeather?> LoadAsync(string place, Instant from, CancellationToken cancellationToken);

    /// <summary>Keeps hours; values and origins come back as they were saved, bit for bit.</summary>
    Task SaveAsync(string place, KeptWeather weather, CancellationToken cancellationToken);
}

/// <summary>Kept hours of a place.</summary>
/// <param name="Weather">The hours.</param>
/// <param name="Source">Who gave the forecast among them.</param>
/// <param name="Credit">Credit line of that source.</param>
/// <param name="IssuedAt">When that forecast was issued or fetched.</param>
public sealed record KeptWeather(HourlyWeather Weather, string Source, string Credit, Instant IssuedAt);

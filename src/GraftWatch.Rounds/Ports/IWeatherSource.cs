using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Where weather comes from.</summary>
public interface IWeatherSource
{
    /// <summary>Name in letters and logs.</summary>
    string Name { get; }

    /// <summary>Fetches the past and forecast hours of one place.</summary>
    /// <returns>The hours, or a <see cref="PlaceWeather"/> without hours whose trouble says why; never throws for what a server or a network does.</returns>
    Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken);
}

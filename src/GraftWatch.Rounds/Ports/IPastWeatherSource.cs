using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Where past hours come from, for healing since the day of grafting and for replays.</summary>
public interface IPastWeatherSource
{
    /// <summary>Name in letters and logs.</summary>
    string Name { get; }

    /// <summary>The hours that end in [<paramref name="from"/>, <paramref name="to"/>], as far as the source has them.</summary>
    /// <returns>The hours, or a <see cref="PlaceWeather"/> without hours whose trouble says why; never throws for what a server or a network does.</returns>
    Task<PlaceWeather> FetchPastAsync(Place place, Instant from, Instant to, CancellationToken cancellationToken);
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>A weather source that can be asked for many places at once.</summary>
public interface IBatchWeatherSource : IWeatherSource
{
    /// <summary>Fetches many places with as few requests as the service allows.</summary>
    /// <returns>One answer a place, in the order given; a place that could not be had stands without hours and with its trouble.</returns>
    Task<IReadOnlyList<PlaceWeather>> FetchManyAsync(IReadOnlyList<Place> places, Instant now, CancellationToken cancellationToken);
}

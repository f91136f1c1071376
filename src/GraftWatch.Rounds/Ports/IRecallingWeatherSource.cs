using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>A source that can give the hours of an earlier fetch once more without asking anybody outside, so that nobody needs to hold a season of hours in memory.</summary>
public interface IRecallingWeatherSource : IWeatherSource
{
    /// <summary>Gives the hours of an earlier fetch again.</summary>
    /// <param name="place">The place, as it was given to the fetch.</param>
    /// <param name="fetched">What the fetch gave; its hours and members are not looked at.</param>
    /// <param name="at">The instant of that fetch.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    /// <returns>The same hours, value for value; null when they cannot be had again. Who must be sure compares them with what was remembered of the first ones.</returns>
    Task<PlaceWeather?> RecallAsync(Place place, PlaceWeather fetched, Instant at, CancellationToken cancellationToken);
}

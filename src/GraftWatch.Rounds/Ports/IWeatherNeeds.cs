using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Says how far back the hours of a place are needed.</summary>
public interface IWeatherNeeds
{
    /// <summary>The earliest hour needed, such as the day of the place's oldest open graft; null when recent days will do.</summary>
    Task<Instant?> EarliestAsync(string place, CancellationToken cancellationToken);
}

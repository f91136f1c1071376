using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Fetches the weather of a round's places. Kept forecasts that stand in for a fetch that failed are the source's own affair.</summary>
public sealed class WeatherGathering(IWeatherSource source, ILogger<WeatherGathering> logger)
{
    private const int AtOnce = 4;
    private readonly Dictionary<string, string> lastTrouble = new(StringComparer.Ordinal);
    private readonly Lock gate = new();

    /// <summary>Fetches every place, in the given order: with as few requests as the source allows, else a few at a time.</summary>
    public async Task<IReadOnlyList<PlaceWeather>> FetchAsync(IReadOnlyList<Place> places, Instant now, CancellationToken cancellationToken)
    {
        if (places.Count == 0)
        {
            return [];
        }

        IReadOnlyList<PlaceWeather> fetched = source is IBatchWeatherSource batch
            ? await batch.FetchManyAsync(places, now, cancellationToken).ConfigureAwait(false)
            : await FetchEachAsync(places, now, cancellationToken).ConfigureAwait(false);
        foreach (PlaceWeather place in fetched)
        {
            TellOnce(place.Place.Name, place.Weather is null ? place.Trouble ?? "the reply had no hours" : string.Empty);
        }

        return fetched;
    }

    private async Task<PlaceWeather[]> FetchEachAsync(IReadOnlyList<Place> places, Instant now, CancellationToken cancellationToken)
    {
        var fetched = new PlaceWeather[places.Count];
        await Parallel.ForAsync(
            0,
            places.Count,
            new ParallelOptions { MaxDegreeOfParallelism = AtOnce, CancellationToken = cancellationToken },
            async (index, token) => fetched[index] = await source.FetchAsync(places[index], now, token).ConfigureAwait(false)).ConfigureAwait(false);
        return fetched;
    }

    // A source that is away is asked again and again; the log says so once, and once more when the reason changes.
    private void TellOnce(string place, string trouble)
    {
        lock (gate)
        {
            if (lastTrouble.GetValueOrDefault(place, string.Empty) == trouble)
            {
                return;
            }

            lastTrouble[place] = trouble;
        }

        if (trouble.Length > 0)
        {
            Log.WeatherFailed(logger, place, trouble);
        }
    }
}

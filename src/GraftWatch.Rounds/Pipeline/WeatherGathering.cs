using System.Collections.Concurrent;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Fetches the weather of a round's places. Kept forecasts that stand in for a fetch that failed are the source's own affair.</summary>
public sealed class WeatherGathering(IWeatherSource source, ILogger<WeatherGathering> logger)
{
    private const int AtOnce = 4;

    // A source that failed is not asked again for each of thousands of growers of one place, yet again at the next look.
    private static readonly Duration FailureRests = Duration.FromSeconds(45);

    private readonly ConcurrentDictionary<string, (PlaceWeather Weather, Instant At)> last = new(StringComparer.Ordinal);
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
            last[place.Place.Name] = (place, now);
            TellOnce(place.Place.Name, place.Weather is null ? place.Trouble ?? "the reply had no hours" : string.Empty);
        }

        return fetched;
    }

    /// <summary>The hours of each place, from memory where they were fetched lately, in the given order.</summary>
    /// <param name="places">Places.</param>
    /// <param name="now">The instant of the run.</param>
    /// <param name="oldest">Hours fetched longer ago are fetched again.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    public async Task<IReadOnlyList<PlaceWeather>> RecentAsync(IReadOnlyList<Place> places, Instant now, Duration oldest, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(places);
        PlaceWeather?[] known = [.. places.Select(place => Known(place, now, oldest))];
        IReadOnlyList<PlaceWeather> fetched = await FetchAsync([.. places.Where((_, index) => known[index] is null)], now, cancellationToken).ConfigureAwait(false);
        int next = 0;
        return [.. known.Select(weather => weather ?? fetched[next++])];
    }

    private static bool IsSame(Site one, Site other) => one with { HorizonDeg = [] } == other with { HorizonDeg = [] } && one.HorizonDeg.SequenceEqual(other.HorizonDeg);

    // A place that was moved in the settings needs hours of its new spot.
    private PlaceWeather? Known(Place place, Instant now, Duration oldest)
    {
        if (!last.TryGetValue(place.Name, out (PlaceWeather Weather, Instant At) known) || now < known.At || !IsSame(known.Weather.Place.Site, place.Site) || !known.Weather.Place.Zone.Equals(place.Zone))
        {
            return null;
        }

        return now - known.At <= (known.Weather.Weather is null ? FailureRests : oldest) ? known.Weather with { Place = place } : null;
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

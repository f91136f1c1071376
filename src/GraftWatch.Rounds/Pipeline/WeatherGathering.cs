using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Fetches the weather of a round's places and remembers the last good reply of each.</summary>
/// <remarks>
/// A forecast made last evening still tells most of what matters this morning. So when a fetch fails, the last good
/// reply stands in while it is younger than <see cref="OldestUse"/>, and the round says how old it is and why.
/// </remarks>
public sealed class WeatherGathering(IWeatherSource source, ILogger<WeatherGathering> logger)
{
    /// <summary>A reply older than this is not used.</summary>
    public static readonly Duration OldestUse = Duration.FromHours(36);

    private const int AtOnce = 4;
    private readonly Dictionary<string, Remembered> lastGood = new(StringComparer.Ordinal);
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
        return [.. fetched.Select(place => RememberOrRecall(place, now))];
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

    private PlaceWeather RememberOrRecall(PlaceWeather fresh, Instant now)
    {
        if (fresh is { Weather: not null, Trouble: null })
        {
            Remember(fresh, now);
            return fresh;
        }

        TellOnce(fresh.Place.Name, fresh.Trouble ?? "the reply had no hours");
        if (Recall(fresh.Place) is not { } remembered || now - remembered.At > OldestUse)
        {
            return fresh;
        }

        string age = $"{fresh.Trouble}; the hours used were fetched {(now - remembered.At).TotalHours:0.#} hours earlier";
        return remembered.Weather with
        {
            Forecast = remembered.Weather.Forecast with { Gaps = [.. remembered.Weather.Forecast.Gaps, age] },
        };
    }

    // A source that is away is asked again and again; the log says so once, and once more when the reason changes.
    private void TellOnce(string place, string trouble)
    {
        lock (gate)
        {
            if (lastTrouble.GetValueOrDefault(place) == trouble)
            {
                return;
            }

            lastTrouble[place] = trouble;
        }

        Log.WeatherFailed(logger, place, trouble);
    }

    private void Remember(PlaceWeather weather, Instant now)
    {
        lock (gate)
        {
            lastTrouble.Remove(weather.Place.Name);
            lastGood[weather.Place.Name] = new Remembered(weather, now);
        }
    }

    private Remembered? Recall(Place place)
    {
        lock (gate)
        {
            return lastGood.TryGetValue(place.Name, out Remembered? known) && known.Weather.Place == place ? known : null;
        }
    }

    private sealed record Remembered(PlaceWeather Weather, Instant At);
}

using System.Collections.Concurrent;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Fetches the weather of a round's places. Kept forecasts that stand in for a fetch that failed are the source's own affair.</summary>
/// <remarks>
/// The hours of a place go back to its oldest healing graft, so they grow all season. They are held only while somebody works with
/// them (<see cref="Hold"/>); in between, what was fetched is remembered by a mark, and the hours are read back from where the source keeps
/// them. Hours that do not come back as they were are fetched anew. A source that cannot give hours again has them held here.
/// </remarks>
public sealed class WeatherGathering(IWeatherSource source, ILogger<WeatherGathering> logger)
{
    private const int AtOnce = 4;

    // A source that failed is not asked again for each of thousands of growers of one place, yet again at the next look.
    private static readonly Duration FailureRests = Duration.FromSeconds(45);

    private readonly IRecallingWeatherSource? recalling = source as IRecallingWeatherSource;
    private readonly ConcurrentDictionary<string, FetchedHours> last = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> lastTrouble = new(StringComparer.Ordinal);
    private readonly Lock gate = new();
    private int holders;

    /// <summary>Holds hours in memory until it is given back, for somebody who will need those of one place more than once.</summary>
    public IDisposable Hold()
    {
        Interlocked.Increment(ref holders);
        return new Holding(this);
    }

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
        for (int i = 0; i < places.Count; i++)
        {
            PlaceWeather place = fetched[i];
            var kept = new FetchedHours(places[i], place, now);
            if (!IsHeld)
            {
                kept.LetGo();
            }

            last[places[i].Name] = kept;
            TellOnce(place.Place.Name, place.Weather is null ? place.Trouble ?? "the reply had no hours" : string.Empty);
        }

        return fetched;
    }

    /// <summary>A mark of the hours of all these places together: while it stays the same, they do. They are fetched where that was too long ago, and not read back.</summary>
    /// <inheritdoc cref="RecentAsync" path="/param"/>
    public async Task<ulong> MarkAsync(IReadOnlyList<Place> places, Instant now, Duration oldest, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(places);
        await FetchAsync([.. places.Where(place => Known(place, now, oldest) is null)], now, cancellationToken).ConfigureAwait(false);

        // FNV-1a over the marks.
        return places.Aggregate(14695981039346656037, (mark, place) => unchecked((mark ^ (last.TryGetValue(place.Name, out FetchedHours? one) ? one.Mark : 0)) * 1099511628211));
    }

    /// <summary>The hours of each place, those fetched lately where there are such, in the given order.</summary>
    /// <param name="places">Places.</param>
    /// <param name="now">The instant of the run.</param>
    /// <param name="oldest">Hours fetched longer ago are fetched again.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    public async Task<IReadOnlyList<PlaceWeather>> RecentAsync(IReadOnlyList<Place> places, Instant now, Duration oldest, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(places);
        var known = new PlaceWeather?[places.Count];
        for (int i = 0; i < known.Length; i++)
        {
            known[i] = Known(places[i], now, oldest) is { } one ? await HoursAsync(one, places[i], cancellationToken).ConfigureAwait(false) : null;
        }

        IReadOnlyList<PlaceWeather> fetched = await FetchAsync([.. places.Where((_, index) => known[index] is null)], now, cancellationToken).ConfigureAwait(false);
        int next = 0;
        return [.. known.Select(weather => weather ?? fetched[next++])];
    }

    private static bool IsSame(Site one, Site other) => one with { HorizonDeg = [] } == other with { HorizonDeg = [] } && one.HorizonDeg.SequenceEqual(other.HorizonDeg);

    // A place that was moved in the settings needs hours of its new spot.
    private FetchedHours? Known(Place place, Instant now, Duration oldest)
    {
        if (!last.TryGetValue(place.Name, out FetchedHours? known) || now < known.At || !IsSame(known.Asked.Site, place.Site) || !known.Asked.Zone.Equals(place.Zone))
        {
            return null;
        }

        return now - known.At <= (known.HasHours ? oldest : FailureRests) ? known : null;
    }

    private async Task<PlaceWeather?> HoursAsync(FetchedHours known, Place place, CancellationToken cancellationToken)
    {
        PlaceWeather? whole = known.Whole;
        if (whole is null)
        {
            whole = await recalling!.RecallAsync(known.Asked, known.Head, known.At, cancellationToken).ConfigureAwait(false);
            if (whole is null || FetchedHours.MarkOf(whole) != known.Mark)
            {
                return null;
            }

            if (IsHeld)
            {
                known.Whole = whole;
            }
        }

        return whole with { Place = Learned(known, place) };
    }

    // What a fetch learned of a place goes on counting; everything else is as the settings have it now.
    private static Place Learned(FetchedHours known, Place place) => ReferenceEquals(known.Head.Place, known.Asked)
        ? place
        : place with
        {
            Site = place.Site with { FrostOffsetK = known.Head.Place.Site.FrostOffsetK },
            Assumed = [.. place.Assumed, .. known.Head.Place.Assumed.Except(known.Asked.Assumed, StringComparer.Ordinal)],
        };

    private bool IsHeld => recalling is null || Volatile.Read(ref holders) > 0;

    private void Release()
    {
        if (Interlocked.Decrement(ref holders) > 0 || recalling is null)
        {
            return;
        }

        foreach (FetchedHours one in last.Values)
        {
            one.LetGo();
        }
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

    private sealed class Holding(WeatherGathering gathering) : IDisposable
    {
        private int released;

        public void Dispose()
        {
            if (Interlocked.Exchange(ref released, 1) == 0)
            {
                gathering.Release();
            }
        }
    }
}

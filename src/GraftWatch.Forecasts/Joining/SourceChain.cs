using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>Asks sources in the order of each place until one has weather for it; places that share a source share its requests.</summary>
internal sealed class SourceChain(IReadOnlyList<IWeatherSource> sources, JoinedWeatherOptions options)
{
    private const int NeededHours = 48;
    private const int FewestHours = 36;

    /// <summary>What one place got.</summary>
    /// <param name="Weather">The answer of the first source that had weather, or of the last one asked.</param>
    /// <param name="Failures">What the sources before it said, one sentence each.</param>
    internal sealed record Answer(PlaceWeather? Weather, IReadOnlyList<string> Failures);

    /// <summary>Asks.</summary>
    /// <param name="places">Places.</param>
    /// <param name="now">The instant of the run.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    /// <param name="without">A source that is passed over; empty for none.</param>
    public async Task<Answer[]> FetchAsync(IReadOnlyList<Place> places, Instant now, CancellationToken cancellationToken, string without = "")
    {
        var answers = new PlaceWeather?[places.Count];
        var partial = new PlaceWeather?[places.Count];
        var failures = new List<string>[places.Count];
        IReadOnlyList<IWeatherSource>[] orders = [.. places.Select(place => OrderOf(place).Where(source => source.Name != without).ToArray())];
        for (int p = 0; p < places.Count; p++)
        {
            failures[p] = [];
        }

        for (int turn = 0; turn < orders.Max(o => o.Count); turn++)
        {
            foreach (IGrouping<IWeatherSource, int> group in Enumerable.Range(0, places.Count)
                .Where(p => answers[p]?.Weather is null && turn < orders[p].Count).GroupBy(p => orders[p][turn]).ToArray())
            {
                int[] asked = [.. group];
                IReadOnlyList<PlaceWeather> got = await AskAsync(group.Key, [.. asked.Select(p => places[p])], now, cancellationToken).ConfigureAwait(false);
                for (int i = 0; i < asked.Length; i++)
                {
                    if (got[i].Weather is { } weather && NextHours(weather, now) is int known and < FewestHours)
                    {
                        partial[asked[i]] ??= got[i];
                        failures[asked[i]].Add($"{group.Key.Name}: it has only {known} of the next {NeededHours} hours");
                        continue;
                    }

                    answers[asked[i]] = got[i];
                    if (got[i].Weather is null)
                    {
                        failures[asked[i]].Add($"{group.Key.Name}: {got[i].Trouble}");
                    }
                }
            }
        }

        // Half a forecast is better than none.
        return [.. answers.Select((a, p) => new Answer(a?.Weather is null ? partial[p] ?? a : a, failures[p]))];
    }

    /// <summary>How many of the hours that matter tomorrow have a temperature; a service may answer well and have nothing.</summary>
    private static int NextHours(HourlyWeather weather, Instant now)
    {
        int known = 0, first = weather.IndexOf(now) + 1;
        ReadOnlySpan<double> air = weather[WeatherQuantity.AirC];
        for (int i = Math.Max(0, first); i < Math.Min(air.Length, first + NeededHours); i++)
        {
            known += double.IsNaN(air[i]) ? 0 : 1;
        }

        return known;
    }

    /// <summary>The sources of a place; names that no source has are passed over, settings have already complained.</summary>
    private IReadOnlyList<IWeatherSource> OrderOf(Place place)
    {
        IReadOnlyList<string> names = options.OrderOfPlace.GetValueOrDefault(place.Name) ?? options.Order;
        return names.Count == 0
            ? sources
            : [.. names.Select(n => sources.FirstOrDefault(s => SameName(s.Name, n))).OfType<IWeatherSource>()];
    }

    /// <summary>Whether two spellings name the same source: case, blanks and dashes do not count.</summary>
    public static bool SameName(string one, string other) => Letters(one) == Letters(other);

    private static string Letters(string name) => string.Concat(name.Where(char.IsAsciiLetterOrDigit)).ToUpperInvariant();

    private static async Task<IReadOnlyList<PlaceWeather>> AskAsync(IWeatherSource source, IReadOnlyList<Place> places, Instant now, CancellationToken cancellationToken)
    {
        if (source is IBatchWeatherSource batch)
        {
            return await batch.FetchManyAsync(places, now, cancellationToken).ConfigureAwait(false);
        }

        var answers = new List<PlaceWeather>(places.Count);
        foreach (Place place in places)
        {
            answers.Add(await source.FetchAsync(place, now, cancellationToken).ConfigureAwait(false));
        }

        return answers;
    }
}

using System.Collections.Concurrent;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>Fills holes of the past from archives, seldom and in one request.</summary>
internal sealed class BackFill(IReadOnlyList<IPastWeatherSource> past, Duration every)
{
    private readonly ConcurrentDictionary<string, Instant> asked = new(StringComparer.Ordinal);

    /// <summary>Fills what is missing between <paramref name="earliest"/> and now.</summary>
    /// <returns>The fuller series, and a sentence when holes remain that an archive could not fill.</returns>
    public async Task<(HourlyWeather Weather, string? Gap)> FillAsync(
        Place place, HourlyWeather weather, Instant earliest, Instant now, CancellationToken cancellationToken)
    {
        if (Hole(weather, earliest, now) is not { } hole)
        {
            return (weather, null);
        }

        if (past.Count == 0 || (asked.TryGetValue(place.Name, out Instant last) && now - last < every))
        {
            return (weather, null);
        }

        asked[place.Name] = now;
        string? trouble = null;
        foreach (IPastWeatherSource source in past)
        {
            PlaceWeather got = await source.FetchPastAsync(place, hole.From, hole.To, cancellationToken).ConfigureAwait(false);
            if (got.Weather is { } hours)
            {
                weather = WeatherJoin.Renew(hours, weather, now);
                if (Hole(weather, earliest, now) is null)
                {
                    return (weather, null);
                }
            }
            else
            {
                trouble ??= $"Past hours could not be fetched: {source.Name}: {got.Trouble}.";
            }
        }

        return (weather, trouble);
    }

    /// <summary>The span from the first to the last missing past hour of air temperature; null when there is none.</summary>
    internal static (Instant From, Instant To)? Hole(HourlyWeather weather, Instant earliest, Instant now)
    {
        Instant from = Instant.FromUnixTimeSeconds((earliest.ToUnixTimeSeconds() + 3599) / 3600 * 3600);
        Instant? first = null, last = null;
        ReadOnlySpan<double> air = weather[WeatherQuantity.AirC];
        for (Instant end = from; end <= now; end += Duration.FromHours(1))
        {
            int i = weather.IndexOf(end);
            if (i < 0 || i >= air.Length || double.IsNaN(air[i]))
            {
                first ??= end;
                last = end;
            }
        }

        return first is { } a && last is { } b ? (a, b) : null;
    }
}

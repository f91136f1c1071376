using System.Collections.Concurrent;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>A history that lasts as long as the process.</summary>
public sealed class InMemoryWeatherHistory : IWeatherHistory
{
    private readonly ConcurrentDictionary<string, KeptWeather> places = new(StringComparer.Ordinal);

    /// <inheritdoc/>
    public Task<KeptWeather?> LoadAsync(string place, Instant from, CancellationToken cancellationToken) => Task.FromResult(
        places.TryGetValue(place, out KeptWeather? kept) && WeatherWindow.Cut(kept.Weather, from, kept.Weather.LastHourEnd) is { } cut
            ? kept with { Weather = cut }
            : null);

    /// <inheritdoc/>
    public Task SaveAsync(string place, KeptWeather weather, CancellationToken cancellationToken)
    {
        places.AddOrUpdate(place, weather, (_, before) => weather with { Weather = Replace(before.Weather, weather.Weather) });
        return Task.CompletedTask;
    }

    private static HourlyWeather Replace(HourlyWeather before, HourlyWeather now)
    {
        if (before.FirstHourEnd >= now.FirstHourEnd)
        {
            return now;
        }

        int offset = (int)(now.FirstHourEnd - before.FirstHourEnd).TotalHours;
        var builder = new HourlyWeather.Builder(before.FirstHourEnd, offset + now.Hours);
        foreach (WeatherQuantity quantity in QuantityWords.All)
        {
            ReadOnlySpan<double> old = before[quantity], young = now[quantity];
            for (int i = 0; i < Math.Min(offset, before.Hours); i++)
            {
                builder.Set(quantity, i, old[i], before.OriginOf(quantity, i));
            }

            for (int i = 0; i < now.Hours; i++)
            {
                builder.Set(quantity, offset + i, young[i], now.OriginOf(quantity, i));
            }
        }

        return builder.Build();
    }
}

using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Joining;

public sealed class LoggedWeatherHistoryTests
{
    private static readonly Instant T0 = Hours.Start;
    private readonly MemoryLog log = new();

    [Fact]
    public async Task Hours_and_the_name_and_age_of_the_last_forecast_come_back()
    {
        var history = new LoggedWeatherHistory(log, new InMemoryReplyStore());
        await history.SaveAsync("Slope", new KeptWeather(Hours.Air(T0, WeatherOrigin.Forecast, 1, 2, 3), "Open-Meteo", "credit", T0), TestContext.Current.CancellationToken);
        KeptWeather kept = (await history.LoadAsync("Slope", T0 - Duration.FromDays(5), TestContext.Current.CancellationToken))!;
        Assert.Equal((T0, 3, "Open-Meteo", "credit", T0), (kept.Weather.FirstHourEnd, kept.Weather.Hours, kept.Source, kept.Credit, kept.IssuedAt));
        kept = (await history.LoadAsync("Slope", T0 + Duration.FromMinutes(1), TestContext.Current.CancellationToken))!;
        Assert.Equal([2, 3], kept.Weather[WeatherQuantity.AirC].ToArray());
        Assert.Null(await history.LoadAsync("Slope", T0 + Duration.FromDays(5), TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Without_the_note_the_hours_are_there_and_too_old_to_be_a_forecast()
    {
        await new LoggedWeatherHistory(log, new InMemoryReplyStore()).SaveAsync(
            "Slope", new KeptWeather(Hours.Air(T0, WeatherOrigin.Analysed, 1, 2, 3), "Open-Meteo", "credit", T0), TestContext.Current.CancellationToken);
        KeptWeather kept = (await new LoggedWeatherHistory(log, new InMemoryReplyStore()).LoadAsync("Slope", T0, TestContext.Current.CancellationToken))!;
        Assert.Equal(3, kept.Weather.Hours);
        Assert.True(kept.IssuedAt < T0 - Duration.FromDays(3650));
    }

    /// <summary>The store's rule, as short as it can be written: the series last kept, on the grid asked for.</summary>
    private sealed class MemoryLog : IWeatherLog
    {
        private HourlyWeather? last;

        public Task KeepAsync(string place, string source, HourlyWeather weather, Instant at, CancellationToken cancellationToken)
        {
            last = weather;
            return Task.CompletedTask;
        }

        public Task<HourlyWeather?> LoadAsync(string place, string source, Instant firstHourEnd, Instant lastHourEnd, CancellationToken cancellationToken)
        {
            if (last is null)
            {
                return Task.FromResult<HourlyWeather?>(null);
            }

            var builder = new HourlyWeather.Builder(firstHourEnd, (int)(lastHourEnd - firstHourEnd).TotalHours + 1);
            for (int i = 0; i < last.Hours; i++)
            {
                Instant end = last.EndOf(i);
                if (end >= firstHourEnd && end <= lastHourEnd)
                {
                    builder.Set(WeatherQuantity.AirC, (int)(end - firstHourEnd).TotalHours, last[WeatherQuantity.AirC][i], last.OriginOf(WeatherQuantity.AirC, i));
                }
            }

            return Task.FromResult<HourlyWeather?>(builder.Build());
        }
    }
}

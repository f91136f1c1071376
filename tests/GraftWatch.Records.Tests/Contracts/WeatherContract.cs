using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class WeatherContract : StoreContract
{
    private const string Place = "Long Meadow";
    private const string Source = "open forecast";
    private static readonly Instant First = Instant.FromUtc(2027, 5, 10, 22, 0);

    [Fact]
    public async Task Hours_come_back_to_the_last_bit_with_their_origins_and_gaps()
    {
        HourlyWeather all = Run(First, 100, i => i % 7 == 3 ? double.NaN : Math.PI * i, i => i < 60 ? WeatherOrigin.Analysed : WeatherOrigin.Forecast);
        await Store.Weather.KeepAsync(Place, Source, all, Sample.Morning, Stop);
        await ReopenAsync();

        HourlyWeather back = (await Store.Weather.LoadAsync(Place, Source, First, all.LastHourEnd, Stop))!;

        Assert.Equal(all.Hours, back.Hours);
        foreach (WeatherQuantity quantity in Enum.GetValues<WeatherQuantity>())
        {
            Assert.Equal(all[quantity].ToArray(), back[quantity].ToArray());
            Assert.All(Enumerable.Range(0, all.Hours), i => Assert.Equal(all.OriginOf(quantity, i), back.OriginOf(quantity, i)));
        }
    }

    [Fact]
    public async Task A_later_run_replaces_forecast_hours_only()
    {
        await Store.Weather.KeepAsync(Place, Source, Run(First, 48, i => i, i => i < 24 ? WeatherOrigin.Analysed : WeatherOrigin.Forecast), Sample.Morning, Stop);
        await Store.Weather.KeepAsync(Place, Source, Run(First, 48, i => 100 + i, i => i < 36 ? WeatherOrigin.Analysed : WeatherOrigin.Forecast), Sample.Morning, Stop);

        HourlyWeather back = (await Store.Weather.LoadAsync(Place, Source, First, First + Duration.FromHours(47), Stop))!;
        Assert.Equal(Enumerable.Range(0, 48).Select(i => i < 24 ? i : 100.0 + i), back[WeatherQuantity.AirC].ToArray());
        Assert.Equal((WeatherOrigin.Analysed, WeatherOrigin.Forecast), (back.OriginOf(WeatherQuantity.AirC, 30), back.OriginOf(WeatherQuantity.AirC, 40)));
    }

    [Fact]
    public async Task A_gap_in_a_later_run_takes_no_known_hour_away()
    {
        await Store.Weather.KeepAsync(Place, Source, Run(First, 24, i => i, _ => WeatherOrigin.Forecast), Sample.Morning, Stop);
        await Store.Weather.KeepAsync(Place, Source, Run(First, 24, i => i % 2 == 0 ? double.NaN : -i, _ => WeatherOrigin.Forecast), Sample.Morning, Stop);
        HourlyWeather back = (await Store.Weather.LoadAsync(Place, Source, First, First + Duration.FromHours(23), Stop))!;
        Assert.Equal(Enumerable.Range(0, 24).Select(i => i % 2 == 0 ? i : -(double)i), back[WeatherQuantity.AirC].ToArray());
    }

    // What is there, what comes, and whether it takes the place.
    [Theory]
    [InlineData(WeatherOrigin.Forecast, WeatherOrigin.Forecast, true)]
    [InlineData(WeatherOrigin.Forecast, WeatherOrigin.Analysed, true)]
    [InlineData(WeatherOrigin.Derived, WeatherOrigin.Forecast, true)]
    [InlineData(WeatherOrigin.Analysed, WeatherOrigin.Forecast, false)]
    [InlineData(WeatherOrigin.Analysed, WeatherOrigin.Derived, false)]
    [InlineData(WeatherOrigin.Analysed, WeatherOrigin.Analysed, false)]
    [InlineData(WeatherOrigin.Analysed, WeatherOrigin.Measured, true)]
    [InlineData(WeatherOrigin.Measured, WeatherOrigin.Measured, false)]
    [InlineData(WeatherOrigin.Measured, WeatherOrigin.Analysed, false)]
    public async Task What_replaces_what(WeatherOrigin before, WeatherOrigin later, bool replaces)
    {
        await Store.Weather.KeepAsync(Place, Source, Run(First, 1, _ => 1, _ => before), Sample.Morning, Stop);
        await Store.Weather.KeepAsync(Place, Source, Run(First, 1, _ => 2, _ => later), Sample.Morning, Stop);
        HourlyWeather back = (await Store.Weather.LoadAsync(Place, Source, First, First, Stop))!;
        Assert.Equal(replaces ? 2 : 1, back[WeatherQuantity.AirC][0]);
        Assert.Equal(replaces ? later : before, back.OriginOf(WeatherQuantity.AirC, 0));
    }

    [Fact]
    public async Task Places_and_sources_are_kept_apart_and_the_unknown_is_null()
    {
        await Store.Weather.KeepAsync(Place, Source, Run(First, 3, _ => 1, _ => WeatherOrigin.Forecast), Sample.Morning, Stop);
        Assert.Null(await Store.Weather.LoadAsync(Place, "another", First, First, Stop));
        Assert.Null(await Store.Weather.LoadAsync("Hill", Source, First, First, Stop));
        Assert.Null(await Store.Weather.LoadAsync(Place, Source, First + Duration.FromDays(9), First + Duration.FromDays(9), Stop));
    }

    [Fact]
    public async Task Hours_outside_what_is_known_are_gaps()
    {
        await Store.Weather.KeepAsync(Place, Source, Run(First, 2, _ => 1, _ => WeatherOrigin.Forecast), Sample.Morning, Stop);
        HourlyWeather back = (await Store.Weather.LoadAsync(Place, Source, First - Duration.FromHours(1), First + Duration.FromHours(2), Stop))!;
        Assert.Equal([double.NaN, 1, 1, double.NaN], back[WeatherQuantity.AirC].ToArray());
    }

    [Fact]
    public async Task Two_machines_that_keep_the_same_days_at_once_lose_no_hour()
    {
        RecordsStore second = await Rig.OpenAsync();
        await using (second)
        {
            await Task.WhenAll(Enumerable.Range(0, 24).Select(i => Task.Run(() =>
                (i % 2 == 0 ? Store : second).Weather.KeepAsync(Place, Source, Run(First + Duration.FromHours(i), 1, _ => i, _ => WeatherOrigin.Forecast), Sample.Morning, Stop))));
        }

        HourlyWeather back = (await Store.Weather.LoadAsync(Place, Source, First, First + Duration.FromHours(23), Stop))!;
        Assert.Equal(Enumerable.Range(0, 24).Select(i => (double)i), back[WeatherQuantity.AirC].ToArray());
    }

    [Fact]
    public async Task What_a_service_was_asked_is_remembered()
    {
        Assert.Null(await Store.Tallies.FindAsync("weather.example", Stop));
        var tally = new RequestTally("weather.example", Sample.Morning, 1, 2.5, 300, Sample.Morning + Duration.FromMinutes(1), "429: slow down");
        await Store.Tallies.SaveAsync(tally with { DayUsed = 1, NotBefore = null }, Stop);
        await Store.Tallies.SaveAsync(tally, Stop);
        await ReopenAsync();
        Assert.Equal(tally, await Store.Tallies.FindAsync("weather.example", Stop));
    }

    private static HourlyWeather Run(Instant first, int hours, Func<int, double> airC, Func<int, WeatherOrigin> origin)
    {
        var builder = new HourlyWeather.Builder(first, hours);
        for (int i = 0; i < hours; i++)
        {
            builder.Set(WeatherQuantity.AirC, i, airC(i), origin(i));
            builder.Set(WeatherQuantity.GustMPerS, i, i / 3.6, origin(i));
        }

        return builder.Build();
    }
}

using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class HistoryContract : StoreContract
{
    private const string Place = "Long Meadow";
    private static readonly Instant First = Instant.FromUtc(2027, 5, 10, 22, 0);

    [Fact]
    public async Task A_series_comes_back_bit_for_bit_with_its_forecast()
    {
        KeptWeather kept = Kept(0, 100, i => i % 7 == 3 ? double.NaN : Math.PI * i);
        await Store.History.SaveAsync(Place, kept, Stop);
        await ReopenAsync();
        KeptWeather back = (await Store.History.LoadAsync(Place, Instant.MinValue, Stop))!;
        Assert.Equal(kept with { Weather = back.Weather }, back);
        AssertSame(kept.Weather, back.Weather);
    }

    [Fact]
    public async Task A_save_replaces_the_hours_it_covers_keeps_earlier_ones_and_drops_later_ones()
    {
        await Store.History.SaveAsync(Place, Kept(0, 100, i => i), Stop);
        await Store.History.SaveAsync(Place, Kept(30, 40, i => i == 5 ? double.NaN : 1000 + i), Stop);
        HourlyWeather back = (await Store.History.LoadAsync(Place, First, Stop))!.Weather;
        Assert.Equal((First, 70), (back.FirstHourEnd, back.Hours));
        Assert.Equal(Enumerable.Range(0, 70).Select(i => i < 30 ? i : i == 35 ? double.NaN : 1000.0 + i - 30), back[WeatherQuantity.AirC].ToArray());
        Assert.Equal(WeatherOrigin.Missing, back.OriginOf(WeatherQuantity.AirC, 35));
    }

    [Fact]
    public async Task A_series_that_begins_earlier_takes_the_place_of_the_whole()
    {
        await Store.History.SaveAsync(Place, Kept(50, 100, i => i), Stop);
        KeptWeather earlier = Kept(0, 60, i => -i);
        await Store.History.SaveAsync(Place, earlier, Stop);
        AssertSame(earlier.Weather, (await Store.History.LoadAsync(Place, Instant.MinValue, Stop))!.Weather);
    }

    [Fact]
    public async Task Hours_between_two_series_that_do_not_touch_are_gaps()
    {
        await Store.History.SaveAsync(Place, Kept(0, 3, _ => 1), Stop);
        await Store.History.SaveAsync(Place, Kept(30, 2, _ => 2), Stop);
        HourlyWeather back = (await Store.History.LoadAsync(Place, First, Stop))!.Weather;
        Assert.Equal(Enumerable.Range(0, 32).Select(i => i < 3 ? 1 : i < 30 ? double.NaN : 2), back[WeatherQuantity.AirC].ToArray());
    }

    [Fact]
    public async Task Only_hours_from_the_asked_instant_on_are_given()
    {
        await Store.History.SaveAsync(Place, Kept(0, 50, i => i), Stop);
        KeptWeather back = (await Store.History.LoadAsync(Place, First + Duration.FromMinutes(61), Stop))!;
        Assert.Equal((First + Duration.FromHours(2), 48, 2.0), (back.Weather.FirstHourEnd, back.Weather.Hours, back.Weather[WeatherQuantity.AirC][0]));
        Assert.Single((await Store.History.LoadAsync(Place, First + Duration.FromHours(49), Stop))!.Weather[WeatherQuantity.AirC].ToArray());
        Assert.Null(await Store.History.LoadAsync(Place, First + Duration.FromHours(49) + Duration.FromTicks(1), Stop));
        Assert.Null(await Store.History.LoadAsync("Hill", Instant.MinValue, Stop));
    }

    [Fact]
    public async Task The_series_and_the_log_of_a_source_do_not_touch()
    {
        await Store.Weather.KeepAsync(Place, "open forecast", Kept(0, 5, _ => 7).Weather, Sample.Morning, Stop);
        await Store.History.SaveAsync(Place, Kept(0, 5, _ => 8), Stop);
        Assert.Equal(7, (await Store.Weather.LoadAsync(Place, "open forecast", First, First, Stop))![WeatherQuantity.AirC][0]);
        Assert.Equal(8, (await Store.History.LoadAsync(Place, First, Stop))!.Weather[WeatherQuantity.AirC][0]);
    }

    [Fact]
    public async Task A_kept_reply_comes_back_and_a_later_one_takes_its_place()
    {
        Assert.Null(await Store.Replies.FindAsync("a", Stop));
        var reply = new KeptReply("a", new byte[] { 0, 1, 255 }, "\"tag\"", "Fri, 14 May 2027 04:30:00 GMT", Sample.Morning, Sample.Morning);
        await Store.Replies.SaveAsync(reply with { Body = new byte[] { 9 }, ETag = null, LastModified = null, Expires = null }, Stop);
        await Store.Replies.SaveAsync(reply, Stop);
        await ReopenAsync();
        KeptReply back = (await Store.Replies.FindAsync("a", Stop))!;
        Assert.Equal(reply.Body.ToArray(), back.Body.ToArray());
        Assert.Equal(reply with { Body = default }, back with { Body = default });
    }

    [Fact]
    public async Task Hours_are_needed_back_to_the_oldest_graft_of_the_place_that_may_still_heal()
    {
        LocalDate today = SystemClock.Instance.GetCurrentInstant().InUtc().Date;
        Assert.Null(await Store.Needs.EarliestAsync(Place, Stop));
        await Store.Keeper.ReplaceGraftsAsync(
            Sample.Grower,
            [
                Sample.Graft("ancient") with { Made = today.PlusDays(-900) },
                Sample.Graft("dead") with { Made = today.PlusDays(-90) },
                Sample.Graft("elsewhere") with { Made = today.PlusDays(-80), Place = "Hill" },
                Sample.Graft("old") with { Made = today.PlusDays(-60) },
                Sample.Graft("new") with { Made = today.PlusDays(-3) },
            ],
            Stop);
        long note = (await Store.Keeper.ObserveAsync(Sample.Grower, new("dead", Sample.Morning, Aftercare.Grafts.ObservationKind.Dead), "dead", Sample.Morning, Stop))!.Value;
        Assert.Equal(StartOf(today.PlusDays(-60)), await Store.Needs.EarliestAsync(Place, Stop));
        await Store.Keeper.UndoObservationAsync(Sample.Grower, note, Sample.Morning, Stop);
        Assert.Equal(StartOf(today.PlusDays(-90)), await Store.Needs.EarliestAsync(Place, Stop));

        // 00:00 of a day at UTC+14, the zone furthest east.
        static Instant StartOf(LocalDate day) => day.AtMidnight().InUtc().ToInstant() - Duration.FromHours(14);
    }

    private static void AssertSame(HourlyWeather expected, HourlyWeather actual)
    {
        Assert.Equal((expected.FirstHourEnd, expected.Hours), (actual.FirstHourEnd, actual.Hours));
        foreach (WeatherQuantity quantity in Enum.GetValues<WeatherQuantity>())
        {
            Assert.Equal(expected[quantity].ToArray(), actual[quantity].ToArray());
            Assert.All(Enumerable.Range(0, expected.Hours), i => Assert.Equal(expected.OriginOf(quantity, i), actual.OriginOf(quantity, i)));
        }
    }

    private static KeptWeather Kept(int fromHour, int hours, Func<int, double> airC)
    {
        var builder = new HourlyWeather.Builder(First + Duration.FromHours(fromHour), hours);
        for (int i = 0; i < hours; i++)
        {
            builder.Set(WeatherQuantity.AirC, i, airC(i), i < hours / 2 ? WeatherOrigin.Analysed : WeatherOrigin.Forecast);
        }

        return new KeptWeather(builder.Build(), "open forecast", "Weather data by somebody (CC BY 4.0)", Sample.Morning);
    }
}

using System.Runtime.CompilerServices;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.Logging.Abstractions;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Pipeline;

/// <summary>Hours are held while somebody works with them, and read back afterwards.</summary>
public sealed class WeatherGatheringTests
{
    private static readonly Instant Now = Instant.FromUtc(2026, 5, 15, 4, 0);
    private static readonly Duration Recent = Duration.FromMinutes(10);
    private static readonly Place Home = new("Home", new Site { LatitudeDeg = 47, LongitudeDeg = 8, ElevationM = 400 }, DateTimeZone.Utc);
    private readonly Source source = new();
    private readonly WeatherGathering gathering;

    public WeatherGatheringTests() => gathering = new WeatherGathering(source, NullLogger<WeatherGathering>.Instance);

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact(Timeout = 60_000)]
    public async Task Between_two_looks_nobody_holds_the_hours()
    {
        WeakReference hours = await LookAsync();

        // Threads that fetched may still be on their way out; the test's own time limit ends the wait.
        while (hours.IsAlive)
        {
            await Task.Delay(20, TestContext.Current.CancellationToken);
            GC.Collect();
        }

        GC.KeepAlive(gathering);
    }

    [Fact]
    public async Task Hours_that_were_let_go_are_read_back_and_not_asked_for_again()
    {
        PlaceWeather first = Assert.Single(await gathering.FetchAsync([Home], Now, Stop));
        PlaceWeather again = Assert.Single(await gathering.RecentAsync([Home], Now + Recent, Recent, Stop));
        Assert.Equal((1, 1), (source.Fetches, source.Recalls));
        Assert.Equal(first.Weather![WeatherQuantity.AirC].ToArray(), again.Weather![WeatherQuantity.AirC].ToArray());
        Assert.Equal(first.Forecast, again.Forecast);
        await gathering.RecentAsync([Home], Now + Recent + Duration.Epsilon, Recent, Stop);
        Assert.Equal((2, 1), (source.Fetches, source.Recalls));
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Hours_that_do_not_come_back_as_they_were_are_fetched_anew(bool forgotten)
    {
        await gathering.FetchAsync([Home], Now, Stop);
        source.Recalled = forgotten ? null : weather => Source.Hours(Now, shift: 1e-13, weather.Hours);
        PlaceWeather again = Assert.Single(await gathering.RecentAsync([Home], Now, Recent, Stop));
        Assert.Equal((2, 1), (source.Fetches, source.Recalls));
        Assert.Equal(20, again.Weather![WeatherQuantity.AirC][0]);
    }

    [Fact]
    public async Task Another_origin_of_an_hour_is_another_hour()
    {
        await gathering.FetchAsync([Home], Now, Stop);
        source.Recalled = weather => Source.Hours(Now, 0, weather.Hours, WeatherOrigin.Analysed);
        await gathering.RecentAsync([Home], Now, Recent, Stop);
        Assert.Equal((2, 1), (source.Fetches, source.Recalls));
    }

    [Fact]
    public async Task While_somebody_works_hours_are_held_for_all_who_do()
    {
        IDisposable one = gathering.Hold(), other = gathering.Hold();
        await gathering.RecentAsync([Home], Now, Recent, Stop);
        one.Dispose();
        one.Dispose();
        await gathering.RecentAsync([Home], Now, Recent, Stop);
        Assert.Equal((1, 0), (source.Fetches, source.Recalls));
        other.Dispose();
        await gathering.RecentAsync([Home], Now, Recent, Stop);
        Assert.Equal((1, 1), (source.Fetches, source.Recalls));
        using IDisposable later = gathering.Hold();
        await gathering.RecentAsync([Home], Now, Recent, Stop);
        await gathering.RecentAsync([Home], Now, Recent, Stop);
        Assert.Equal((1, 2), (source.Fetches, source.Recalls));
    }

    [Fact]
    public async Task The_mark_of_hours_is_asked_without_reading_them()
    {
        ulong mark = await gathering.MarkAsync([Home], Now, Recent, Stop);
        Assert.Equal(mark, await gathering.MarkAsync([Home], Now + Recent, Recent, Stop));
        Assert.Equal(mark, await gathering.MarkAsync([Home], Now + Recent + Recent, Recent, Stop));
        Assert.Equal((2, 0), (source.Fetches, source.Recalls));
        source.ShiftK = 1e-13;
        Assert.NotEqual(mark, await gathering.MarkAsync([Home], Now + Duration.FromHours(1), Recent, Stop));
    }

    [Fact]
    public async Task What_a_fetch_learned_of_a_place_counts_on_and_does_not_make_it_another_place()
    {
        source.OffsetK = -1.5;
        await gathering.FetchAsync([Home], Now, Stop);
        PlaceWeather again = Assert.Single(await gathering.RecentAsync([Home with { Assumed = ["loam"] }], Now, Recent, Stop));
        Assert.Equal(1, source.Fetches);
        Assert.Equal(-1.5, again.Place.Site.FrostOffsetK);
        Assert.Equal(["loam", "learned"], again.Place.Assumed);
        await gathering.RecentAsync([Home with { Site = Home.Site with { ElevationM = 500 } }], Now, Recent, Stop);
        Assert.Equal(2, source.Fetches);
    }

    [MethodImpl(MethodImplOptions.NoInlining)]
    private async Task<WeakReference> LookAsync()
    {
        using IDisposable held = gathering.Hold();
        return new WeakReference(Assert.Single(await gathering.RecentAsync([Home], Now, Recent, Stop)).Weather);
    }

    private sealed class Source : IRecallingWeatherSource
    {
        public string Name => "fake";

        internal int Fetches { get; private set; }

        internal int Recalls { get; private set; }

        internal double ShiftK { get; set; }

        internal double OffsetK { get; set; }

        internal Func<(Instant First, int Hours), HourlyWeather>? Recalled { get; set; } = weather => Hours(weather.First, 0, weather.Hours);

        public Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken)
        {
            Fetches++;
            HourlyWeather hours = Hours(Now, ShiftK, 24);
            Place learned = OffsetK == 0 ? place : place with { Site = place.Site with { FrostOffsetK = OffsetK }, Assumed = [.. place.Assumed, "learned"] };
            return Task.FromResult(new PlaceWeather(learned, hours, new ForecastInfo("fake", string.Empty, Now, hours.FirstHourEnd, hours.LastHourEnd, [])));
        }

        public Task<PlaceWeather?> RecallAsync(Place place, PlaceWeather fetched, Instant at, CancellationToken cancellationToken)
        {
            Recalls++;
            Assert.Null(fetched.Weather);
            return Task.FromResult(Recalled is null ? null : fetched with { Weather = Recalled((fetched.Forecast.From, 24)) });
        }

        internal static HourlyWeather Hours(Instant first, double shift, int hours, WeatherOrigin origin = WeatherOrigin.Forecast)
        {
            var builder = new HourlyWeather.Builder(first, hours);
            for (int hour = 0; hour < hours; hour++)
            {
                builder.Set(WeatherQuantity.AirC, hour, 20 + shift, origin);
            }

            return builder.Build();
        }
    }
}

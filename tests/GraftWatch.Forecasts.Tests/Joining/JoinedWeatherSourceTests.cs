using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Forecasts.Station;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Joining;

public sealed class JoinedWeatherSourceTests
{
    private static readonly Instant Now = Instant.FromUtc(2026, 4, 22, 4, 0);
    private static readonly Place Slope = new("Slope", new Site { LatitudeDeg = 47.66, LongitudeDeg = 9.18, ElevationM = 404 }, DateTimeZoneProviders.Tzdb["Europe/Berlin"]);
    private readonly InMemoryWeatherHistory history = new();

    [Fact]
    public async Task The_first_source_in_the_place_s_order_that_has_weather_is_used_and_the_letter_can_say_why()
    {
        var open = new FakeSource("Open-Meteo") { Trouble = "api.open-meteo.com is in trouble (status 502)" };
        var met = new FakeSource("MET Norway");
        PlaceWeather got = await FetchAsync(new JoinedWeatherOptions(), open, met);
        Assert.Equal("MET Norway", got.Forecast.Source);
        Assert.Contains("MET Norway is used, for others failed: Open-Meteo: api.open-meteo.com is in trouble (status 502).", got.Forecast.Gaps);
        got = await FetchAsync(
            new JoinedWeatherOptions { OrderOfPlace = new Dictionary<string, IReadOnlyList<string>> { ["Slope"] = ["met norway", "open-meteo"] } }, new FakeSource("Open-Meteo"), met);
        Assert.Equal("MET Norway", got.Forecast.Source);
    }

    [Fact]
    public async Task Past_hours_are_kept_and_a_later_run_is_joined_to_them()
    {
        var source = new FakeSource("Open-Meteo") { AirC = _ => 5 };
        await FetchAsync(new JoinedWeatherOptions(), source);
        source.AirC = _ => 9;
        Instant later = Now + Duration.FromDays(1);
        PlaceWeather got = await FetchAsync(new JoinedWeatherOptions(), later, source);
        HourlyWeather weather = got.Weather!;
        Assert.Equal(5, weather[WeatherQuantity.AirC][0]);
        Assert.Equal(9, weather[WeatherQuantity.AirC][weather.IndexOf(later) + 1]);

        // Three days back from the later now: the first run's own past is still there.
        Assert.Equal(Now - Duration.FromHours(24), weather.FirstHourEnd);
    }

    [Fact]
    public async Task When_all_sources_fail_the_last_good_forecast_is_used_with_its_age_then_warned_of_then_refused()
    {
        var source = new FakeSource("Open-Meteo");
        await FetchAsync(new JoinedWeatherOptions(), source);
        source.Trouble = "the line is down";
        PlaceWeather soon = await FetchAsync(new JoinedWeatherOptions(), Now + Duration.FromHours(10), source);
        Assert.Null(soon.Trouble);
        Assert.Equal(Now, soon.Forecast.IssuedAt);
        Assert.Contains("No new forecast could be had (Open-Meteo: the line is down); the one of 2026-04-22 04:00 UTC is used.", soon.Forecast.Gaps);

        PlaceWeather old = await FetchAsync(new JoinedWeatherOptions(), Now + Duration.FromHours(30), source);
        Assert.Contains(old.Forecast.Gaps, g => g.StartsWith("The forecast is 30 hours old", StringComparison.Ordinal));

        PlaceWeather none = await FetchAsync(new JoinedWeatherOptions(), Now + Duration.FromHours(49), source);
        Assert.Null(none.Weather);
        Assert.Equal("Open-Meteo: the line is down; the last good forecast, of 2026-04-22 04:00 UTC, is too old", none.Trouble);
    }

    [Fact]
    public async Task A_forecast_whose_own_run_is_too_old_is_not_used_although_it_was_just_fetched()
    {
        var source = new FakeSource("Open-Meteo") { IssuedAt = Now - Duration.FromHours(88) };
        PlaceWeather none = await FetchAsync(new JoinedWeatherOptions(), source);
        Assert.Null(none.Weather);
        Assert.Equal("Open-Meteo: its forecast is of 2026-04-18 12:00 UTC, too old to be used", none.Trouble);
        Assert.Null(none.Forecast.IssuedAt);
    }

    [Fact]
    public async Task Behind_a_source_whose_run_is_too_old_the_next_one_is_asked()
    {
        var old = new FakeSource("Open-Meteo") { IssuedAt = Now - Duration.FromHours(88) };
        PlaceWeather got = await FetchAsync(new JoinedWeatherOptions(), old, new FakeSource("MET Norway"));
        Assert.Equal("MET Norway", got.Forecast.Source);
        Assert.Contains("MET Norway is used, for others failed: Open-Meteo: its forecast is of 2026-04-18 12:00 UTC, too old to be used.", got.Forecast.Gaps);
    }

    [Fact]
    public async Task A_run_that_repeats_itself_to_the_last_digit_ages_on()
    {
        var source = new FakeSource("Open-Meteo") { AirC = t => Math.Sin(t.ToUnixTimeSeconds() / 10_000.0) };
        await FetchAsync(new JoinedWeatherOptions(), source);
        await FetchAsync(new JoinedWeatherOptions(), Now + Duration.FromHours(6), source);
        PlaceWeather got = await FetchAsync(new JoinedWeatherOptions(), Now + Duration.FromHours(12), source);
        Assert.Equal(Now, got.Forecast.IssuedAt);
        Assert.Contains(got.Forecast.Gaps, g => g.Contains("seems to stand still", StringComparison.Ordinal));
        PlaceWeather none = await FetchAsync(new JoinedWeatherOptions(), Now + Duration.FromHours(60), source);
        Assert.Null(none.Weather);
        Assert.Equal("Open-Meteo: it has sent the same forecast since 2026-04-22 04:00 UTC; the last good forecast, of 2026-04-22 04:00 UTC, is too old", none.Trouble);

        source.AirC = t => 1 + Math.Sin(t.ToUnixTimeSeconds() / 10_000.0);
        Assert.NotNull((await FetchAsync(new JoinedWeatherOptions(), Now + Duration.FromHours(61), source)).Weather);
    }

    [Fact]
    public async Task A_source_without_the_next_two_days_falls_to_the_next_and_is_used_when_there_is_no_better()
    {
        var half = new FakeSource("Open-Meteo") { AirC = t => t > Now + Duration.FromHours(20) ? double.NaN : 5 };
        PlaceWeather got = await FetchAsync(new JoinedWeatherOptions(), half, new FakeSource("MET Norway"));
        Assert.Equal("MET Norway", got.Forecast.Source);
        Assert.Contains("MET Norway is used, for others failed: Open-Meteo: it has only 20 of the next 48 hours.", got.Forecast.Gaps);
        got = await FetchAsync(new JoinedWeatherOptions(), half, new FakeSource("MET Norway") { Trouble = "no" });
        Assert.Equal("Open-Meteo", got.Forecast.Source);
        Assert.Contains("Open-Meteo: it has only 20 of the next 48 hours, and no other source had more.", got.Forecast.Gaps);
    }

    [Fact]
    public async Task Sources_far_apart_are_mentioned()
    {
        var other = new FakeSource("MET Norway") { AirC = _ => 1 };
        PlaceWeather got = await FetchAsync(new JoinedWeatherOptions { CompareWith = "MET Norway" }, new FakeSource("Open-Meteo") { AirC = _ => 5 }, other);
        Assert.Contains("MET Norway differs from Open-Meteo: the lowest temperature 4 K lower; the highest temperature 4 K lower.", got.Forecast.Gaps);
    }

    [Fact]
    public async Task Holes_since_the_earliest_graft_are_filled_from_the_archive_once()
    {
        var archive = new FakeArchive();
        var parts = new JoinedWeatherParts
        {
            Forecasts = [new FakeSource("Open-Meteo")],
            History = history,
            Archives = [archive],
            Needs = new Since(Now - Duration.FromDays(20)),
        };
        var joined = new JoinedWeatherSource(parts, new JoinedWeatherOptions(), TimeProvider.System);
        PlaceWeather got = await joined.FetchAsync(Slope, Now, TestContext.Current.CancellationToken);
        Assert.Equal(Now - Duration.FromDays(20), got.Weather!.FirstHourEnd);
        Assert.Equal(-7, got.Weather[WeatherQuantity.AirC][0]);
        Assert.DoesNotContain(double.NaN, got.Weather[WeatherQuantity.AirC].ToArray());
        await joined.FetchAsync(Slope, Now + Duration.FromHours(12), TestContext.Current.CancellationToken);
        Assert.Equal(1, archive.Asked);
    }

    [Fact]
    public async Task Measured_hours_win_over_the_model_s_past_and_never_touch_the_forecast()
    {
        var station = new FakeStation(Hours.Air(Now - Duration.FromHours(3), WeatherOrigin.Measured, -1, -2, -3, -4));
        PlaceWeather got = await FetchAsync(new JoinedWeatherOptions(), Now, station, new FakeSource("Open-Meteo"));
        HourlyWeather weather = got.Weather!;
        Assert.Equal(WeatherOrigin.Measured, weather.OriginOf(WeatherQuantity.AirC, weather.IndexOf(Now)));
        Assert.Equal(-4, weather[WeatherQuantity.AirC][weather.IndexOf(Now)]);
        Assert.Equal(5, weather[WeatherQuantity.AirC][weather.IndexOf(Now) + 1]);

        // What is kept is the model's word, so that the station file can be mended later.
        KeptWeather kept = (await history.LoadAsync("Slope", Now, TestContext.Current.CancellationToken))!;
        Assert.Equal(5, kept.Weather[WeatherQuantity.AirC][0]);
    }

    [Fact]
    public async Task A_source_that_never_answers_ends_at_the_deadline()
    {
        await FetchAsync(new JoinedWeatherOptions(), new FakeSource("Open-Meteo"));
        var silent = new FakeSource("Open-Meteo") { Delay = TimeSpan.FromMinutes(10) };
        PlaceWeather got = await FetchAsync(new JoinedWeatherOptions { Deadline = Duration.FromMilliseconds(200) }, Now + Duration.FromHours(2), silent);
        Assert.NotNull(got.Weather);
        Assert.Contains(got.Forecast.Gaps, g => g.Contains("no source answered within", StringComparison.Ordinal));
    }

    private Task<PlaceWeather> FetchAsync(JoinedWeatherOptions options, params IWeatherSource[] sources) => FetchAsync(options, Now, sources);

    private Task<PlaceWeather> FetchAsync(JoinedWeatherOptions options, Instant now, params IWeatherSource[] sources) => FetchAsync(options, now, null, sources);

    private Task<PlaceWeather> FetchAsync(JoinedWeatherOptions options, Instant now, IStation? station, params IWeatherSource[] sources) =>
        new JoinedWeatherSource(new JoinedWeatherParts { Forecasts = sources, History = history, Station = station }, options, TimeProvider.System)
            .FetchAsync(Slope, now, TestContext.Current.CancellationToken);

    private sealed class FakeSource(string name) : IWeatherSource
    {
        public string Name => name;

        public string? Trouble { get; set; }

        public Func<Instant, double> AirC { get; set; } = _ => 5;

        public Instant? IssuedAt { get; set; }

        public TimeSpan Delay { get; set; }

        public async Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken)
        {
            await Task.Delay(Delay, cancellationToken);
            HourlyWeather run = Hours.Run(now - Duration.FromHours(24), now, 24 + (8 * 24), AirC);
            var info = new ForecastInfo(name, "credit", IssuedAt ?? now, run.FirstHourEnd, run.LastHourEnd, []);
            return Trouble is null ? new PlaceWeather(place, run, info) : new PlaceWeather(place, null, info with { IssuedAt = null }, Trouble);
        }
    }

    private sealed class FakeArchive : IPastWeatherSource
    {
        public string Name => "archive";

        public int Asked { get; private set; }

        public Task<PlaceWeather> FetchPastAsync(Place place, Instant from, Instant to, CancellationToken cancellationToken)
        {
            Asked++;
            HourlyWeather past = Hours.Run(from, to, (int)(to - from).TotalHours + 1, _ => -7);
            return Task.FromResult(new PlaceWeather(place, past, new ForecastInfo(Name, string.Empty, null, from, to, [])));
        }
    }

    private sealed class Since(Instant earliest) : IWeatherNeeds
    {
        public Task<Instant?> EarliestAsync(string place, CancellationToken cancellationToken) => Task.FromResult<Instant?>(earliest);
    }

    private sealed class FakeStation(HourlyWeather hours) : IStation
    {
        public Task<StationHours> ReadAsync(Place place, Instant from, Instant to, CancellationToken cancellationToken) => Task.FromResult(new StationHours(hours, []));
    }
}

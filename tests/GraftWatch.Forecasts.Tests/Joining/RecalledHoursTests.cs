using CsCheck;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Forecasts.Station;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Joining;

/// <summary>Hours read back from the history are those of the fetch, bit for bit.</summary>
public sealed class RecalledHoursTests
{
    private static readonly Instant Start = Instant.FromUtc(2026, 4, 1, 0, 0);
    private static readonly Place Slope = new("Slope", new Site { LatitudeDeg = 47.66, LongitudeDeg = 9.18, ElevationM = 404 }, DateTimeZoneProviders.Tzdb["Europe/Berlin"]);

    private static readonly WeatherQuantity[] Given =
        [WeatherQuantity.AirC, WeatherQuantity.HumidityPct, WeatherQuantity.WindMPerS, WeatherQuantity.GlobalWPerM2, WeatherQuantity.CloudFrac, WeatherQuantity.PrecipitationMm];

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    // A season of fetches with gaps, hours that were away, a station that speaks now and then, an archive and an ensemble.
    [Fact]
    public void After_any_season_of_fetches_the_hours_come_back_as_they_were() =>
        Gen.Select(Gen.Int, Gen.Int[1, 20], Gen.Bool, Gen.Bool, Gen.Bool).Sample(
            (seed, fetches, station, archive, ensemble) => SeasonAsync(seed, fetches, station, archive, ensemble).GetAwaiter().GetResult(),
            iter: 60,
            threads: 1);

    [Fact]
    public async Task What_another_fetch_replaced_does_not_come_back()
    {
        var season = new Weather(new Random(7), Start);
        JoinedWeatherSource joined = Joined(season, withStation: false, withArchive: false, withEnsemble: false);
        PlaceWeather first = await joined.FetchAsync(Slope, Start, Stop);
        await joined.FetchAsync(Slope, Start + Duration.FromHours(3), Stop);
        Assert.Null(await joined.RecallAsync(Slope, first with { Weather = null }, Start, Stop));
    }

    [Fact]
    public async Task Hours_that_an_archive_filled_in_beside_an_old_forecast_are_kept()
    {
        var season = new Weather(new Random(7), Start);
        JoinedWeatherSource joined = Joined(season, withStation: false, withArchive: true, withEnsemble: false);
        await joined.FetchAsync(Slope, Start, Stop);
        season.Earliest -= Duration.FromDays(10);
        season.IsAway = true;
        Instant later = Start + Duration.FromHours(30);
        PlaceWeather filled = await joined.FetchAsync(Slope, later, Stop);
        Assert.Equal(season.Earliest, filled.Weather!.FirstHourEnd);
        Same(filled.Weather, (await joined.RecallAsync(Slope, filled with { Weather = null }, later, Stop))!.Weather!);
    }

    private static async Task SeasonAsync(int seed, int fetches, bool station, bool archive, bool ensemble)
    {
        var random = new Random(seed);
        var season = new Weather(random, Start);
        JoinedWeatherSource joined = Joined(season, station, archive, ensemble);
        Instant now = Start;
        for (int i = 0; i < fetches; i++)
        {
            season.IsAway = random.Next(5) == 0;
            PlaceWeather fetched = await joined.FetchAsync(Slope, now, Stop);
            if (fetched.Weather is not null)
            {
                PlaceWeather recalled = (await joined.RecallAsync(Slope, fetched with { Weather = null, Members = [] }, now, Stop))!;
                Same(fetched.Weather, recalled.Weather!);
                Assert.Equal(fetched.Members.Count, recalled.Members.Count);
                Assert.All(fetched.Members.Zip(recalled.Members), pair => Same(pair.First, pair.Second));
                Assert.Equal((fetched.Place, fetched.Forecast, fetched.Trouble), (recalled.Place, recalled.Forecast, recalled.Trouble));
            }

            now += Duration.FromHours(random.Next(1, 60));
        }
    }

    private static void Same(HourlyWeather one, HourlyWeather other)
    {
        Assert.Equal((one.FirstHourEnd, one.Hours), (other.FirstHourEnd, other.Hours));
        foreach (WeatherQuantity quantity in QuantityWords.All)
        {
            for (int i = 0; i < one.Hours; i++)
            {
                Assert.Equal(BitConverter.DoubleToInt64Bits(one[quantity][i]), BitConverter.DoubleToInt64Bits(other[quantity][i]));
                Assert.Equal(one.OriginOf(quantity, i), other.OriginOf(quantity, i));
            }
        }
    }

    private static JoinedWeatherSource Joined(Weather weather, bool withStation, bool withArchive, bool withEnsemble) => new(
        new JoinedWeatherParts
        {
            Forecasts = [weather],
            History = new InMemoryWeatherHistory(),
            Needs = weather,
            Station = withStation ? weather : null,
            Archives = withArchive ? [weather] : [],
            Ensemble = withEnsemble ? weather : null,
        },
        new JoinedWeatherOptions(),
        TimeProvider.System);

    private sealed class Weather(Random random, Instant start) : IWeatherSource, IStation, IPastWeatherSource, IMemberSource, IWeatherNeeds
    {
        private readonly Dictionary<Instant, double> measured = [];

        public string Name => "service";

        internal bool IsAway { get; set; }

        internal Instant Earliest { get; set; } = start - Duration.FromDays(5);

        public Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken)
        {
            HourlyWeather run = Run(now - Duration.FromHours(48), now, 48 + (8 * 24));
            var info = new ForecastInfo(Name, "credit", now, run.FirstHourEnd, run.LastHourEnd, []);
            return Task.FromResult(IsAway ? new PlaceWeather(place, null, info with { IssuedAt = null }, "away") : new PlaceWeather(place, run, info));
        }

        public Task<PlaceWeather> FetchPastAsync(Place place, Instant from, Instant to, CancellationToken cancellationToken) =>
            Task.FromResult(new PlaceWeather(place, Run(from, to, (int)(to - from).TotalHours + 1), new ForecastInfo(Name, string.Empty, null, from, to, [])));

        public Task<IReadOnlyList<HourlyWeather>> FetchMembersAsync(Place place, Instant now, CancellationToken cancellationToken) =>
            Task.FromResult<IReadOnlyList<HourlyWeather>>([Run(now, now, 100), Run(now, now, 100)]);

        public Task<Instant?> EarliestAsync(string place, CancellationToken cancellationToken) => Task.FromResult<Instant?>(Earliest);

        // What the instrument said once it says again; it is read up to an instant.
        public Task<StationHours> ReadAsync(Place place, Instant from, Instant to, CancellationToken cancellationToken)
        {
            int hours = (int)Math.Floor((to - from).TotalHours) + 1;
            var builder = new HourlyWeather.Builder(from, hours);
            for (int i = 0; i < hours; i++)
            {
                Instant end = from + Duration.FromHours(i);
                if (!measured.TryGetValue(end, out double airC))
                {
                    measured[end] = airC = random.Next(3) == 0 ? double.NaN : 30 * random.NextDouble();
                }

                builder.Set(WeatherQuantity.AirC, i, airC, WeatherOrigin.Measured);
            }

            return Task.FromResult(new StationHours(builder.Build(), []));
        }

        private HourlyWeather Run(Instant first, Instant now, int hours)
        {
            var builder = new HourlyWeather.Builder(first, hours);
            foreach (WeatherQuantity quantity in Given)
            {
                bool lacks = random.Next(8) == 0;
                for (int i = 0; i < hours; i++)
                {
                    double value = lacks || random.Next(50) == 0 ? double.NaN : quantity == WeatherQuantity.CloudFrac ? random.NextDouble() : 40 * random.NextDouble();
                    builder.Set(quantity, i, value, first + Duration.FromHours(i) <= now ? WeatherOrigin.Analysed : WeatherOrigin.Forecast);
                }
            }

            return builder.Build();
        }
    }
}

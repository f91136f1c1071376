using BenchmarkDotNet.Attributes;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Settings;
using NodaTime;

namespace GraftWatch.Benchmarks.Aftercare;

/// <summary>One round over a large register: 10,000 grafts that share 50 exposures, 240 hours. Aim: under a second on one core.</summary>
[MemoryDiagnoser]
public class RoundBenchmarks
{
    private static readonly LocalDate Day = new(2026, 5, 16);
    private RoundRequest request = null!;

    [Params(1_000, 10_000)]
    public int Grafts { get; set; }

    [GlobalSetup]
    public void SetUp()
    {
        Handbook handbook = SettingsLoader.LoadHandbook(folder: null).Value!;
        var place = new Place("Larkhollow", new Site { LatitudeDeg = 48.5, LongitudeDeg = 9.0, ElevationM = 350 }, DateTimeZoneProviders.Tzdb["Europe/Berlin"]);
        HourlyWeather hours = Hours();
        Instant now = Day.At(new LocalTime(6, 0)).InZoneLeniently(place.Zone).ToInstant();
        request = new RoundRequest
        {
            Date = Day,
            Now = now,
            Grower = "Mara Quill",
            Places = [new PlaceWeather(place, hours, new ForecastInfo("Invented hours", string.Empty, now, hours.FirstHourEnd, hours.LastHourEnd, []))],
            Grafts = [.. Enumerable.Range(0, Grafts).Select(Graft)],
            Handbook = handbook,
        };
    }

    [Benchmark]
    public int Round() => RoundMaker.Make(request).Advice.Count;

    private static Graft Graft(int i) => new()
    {
        Label = $"G{i:00000}",
        Place = "Larkhollow",
        Block = ((char)('A' + (i / 1000))).ToString(),
        Species = ((string[])["apple", "pear", "plum", "walnut", "grape"])[i % 5],
        Technique = Technique.WhipAndTongue,
        Made = Day.PlusDays(-(i % 45)),
        AspectDeg = 36 * (i % 50 / 5),
        HeightM = 0.4,
        DiameterM = 0.012 + (0.002 * (i % 5)),
        Tie = "budding-strip",
        Seal = "wax",
        ShootM = i % 50 > 25 ? 0.25 : null,
    };

    private static HourlyWeather Hours()
    {
        var builder = new HourlyWeather.Builder(Instant.FromUtc(2026, 5, 14, 23, 0), 240);
        for (int i = 0; i < 240; i++)
        {
            double wave = Math.Sin(2 * Math.PI * ((i % 24) - 9) / 24);
            builder.Set(WeatherQuantity.AirC, i, 18 + (9 * wave), WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.DewPointC, i, 8, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.HumidityPct, i, 60 - (25 * wave), WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.WindMPerS, i, 3, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.GustMPerS, i, 14, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.GlobalWPerM2, i, Math.Max(0, 850 * wave), WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.PrecipitationMm, i, 0.05, WeatherOrigin.Forecast);
        }

        return builder.Build();
    }
}

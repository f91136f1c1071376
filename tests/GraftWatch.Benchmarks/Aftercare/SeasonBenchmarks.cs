using System.Diagnostics;
using System.Globalization;
using BenchmarkDotNet.Attributes;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Replaying;
using GraftWatch.Settings;
using NodaTime;

namespace GraftWatch.Benchmarks.Aftercare;

/// <summary>A season of 100 mornings over 1,000 unions: 40 rows of 25 in 20 exposures. Aim: under 5 s on one core.</summary>
[MemoryDiagnoser]
public class SeasonBenchmarks
{
    private static readonly LocalDate First = new(2026, 4, 10);
    private SeasonRequest request = null!;

    [GlobalSetup]
    public void SetUp()
    {
        var place = new Place("Larkhollow", new Site { LatitudeDeg = 48.5, LongitudeDeg = 9.0, ElevationM = 350 }, DateTimeZoneProviders.Tzdb["Europe/Berlin"]);
        HourlyWeather hours = Hours();
        request = new SeasonRequest
        {
            From = First,
            To = First.PlusDays(99),
            Zone = place.Zone,
            LetterTime = new LocalTime(5, 30),
            Grower = "Mara Quill",
            Places = [new PlaceWeather(place, hours, new ForecastInfo("Invented hours", string.Empty, null, hours.FirstHourEnd, hours.LastHourEnd, []))],
            Grafts = [.. Enumerable.Range(0, 40).Select(Graft)],
            Handbook = SettingsLoader.LoadHandbook(folder: null).Value!,
        };
    }

    [Benchmark]
    public int Season() => GraftWatch.Rounds.Replaying.Season.Run(request, null, CancellationToken.None).Days.Count;

    /// <summary>Prints the seconds of three passes and the processor time each took.</summary>
    internal static void Print(TextWriter to)
    {
        var season = new SeasonBenchmarks();
        season.SetUp();
        for (int pass = 0; pass < 3; pass++)
        {
            TimeSpan before = Process.GetCurrentProcess().TotalProcessorTime;
            var clock = Stopwatch.StartNew();
            int days = season.Season();
            to.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{days} days: {clock.Elapsed.TotalSeconds:0.0} s, processor {(Process.GetCurrentProcess().TotalProcessorTime - before).TotalSeconds:0.0} s"));
        }
    }

    private static Graft Graft(int i) => new()
    {
        Label = $"G{i:00}",
        Place = "Larkhollow",
        Species = ((string[])["apple", "pear", "plum", "walnut", "grape"])[i % 5],
        Technique = Technique.WhipAndTongue,
        Made = First.PlusDays(i % 20 - 20),
        Count = 25,
        AspectDeg = 36 * (i % 10),
        HeightM = 0.4,
        DiameterM = i % 20 < 10 ? 0.012 : 0.016,
        Tie = "budding-strip",
        Seal = "wax",
    };

    private static HourlyWeather Hours()
    {
        const int Count = 140 * 24;
        var builder = new HourlyWeather.Builder(Instant.FromUtc(2026, 3, 20, 23, 0), Count);
        for (int i = 0; i < Count; i++)
        {
            double wave = Math.Sin(2 * Math.PI * ((i % 24) - 9) / 24);
            double spell = 5 * Math.Sin(2 * Math.PI * i / (24 * 9.3));
            builder.Set(WeatherQuantity.AirC, i, 10 + (0.0035 * i) + (8 * wave) + spell, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.HumidityPct, i, 60 - (25 * wave), WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.WindMPerS, i, 3 + (0.3 * spell), WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.GustMPerS, i, 10 + spell, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.GlobalWPerM2, i, Math.Max(0, 850 * wave), WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.PrecipitationMm, i, spell < -4 ? 0.4 : 0, WeatherOrigin.Forecast);
        }

        return builder.Build();
    }
}

using System.Diagnostics;
using System.Globalization;
using GraftWatch.Forecasts.MetNorway;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Forecasts.UsWeatherService;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Fuzz;

/// <summary>Feeds the three parsers damaged replies for a bounded time: GRAFTWATCH_FUZZ_SECONDS each, two by default.</summary>
/// <remarks>The seed stands in the output; GRAFTWATCH_FUZZ_SEED repeats a run. An input that breaks a rule is printed in base64; keep it as a test of its own.</remarks>
public sealed class ParserFuzz
{
    private static readonly Instant Now = Instant.FromUtc(2026, 4, 22, 4, 0);

    private static readonly byte[][] Words =
    [
        .. new[]
        {
            "null", "NaN", "-Infinity", "1e400", "-9999", "9.96921e36", "-3,5", "\"-3.5\"", "true", "[]", "{}", "[[", "{\"a\":", "\"", "\\u0000", "\uFEFF", ",", "]", "}", "0",
            "1776823200", "1776825000", "\"2026-04-22T02:00\"", "\"2026-04-22T02:00:00Z\"", "\"PT1H\"", "/P99999999D", "undefined", "hourly", "\"time\":[1]", "\"values\":null", "<html>",
            "Unexpected error while streaming data: x", "999999999999999999999999999", "0.1e-5", "\ud83c",
        }.Select(System.Text.Encoding.UTF8.GetBytes),
        [0xFF, 0xFE], [0x1F, 0x8B], [0xED, 0xA0, 0x80], [0],
    ];

    [Theory]
    [InlineData("open")]
    [InlineData("met")]
    [InlineData("us")]
    public void A_parser_never_throws_never_hangs_and_never_gives_an_impossible_value(string parser)
    {
        double seconds = Number("GRAFTWATCH_FUZZ_SECONDS", 2);
        int seed = (int)Number("GRAFTWATCH_FUZZ_SEED", Environment.TickCount & 0x7FFFFFFF);
        byte[][] corpus = [.. Corpus(parser).Select(Sample.Bytes)];
        var random = new Random(seed);
        long start = Stopwatch.GetTimestamp();
        int runs = 0, usable = 0;
        while (Stopwatch.GetElapsedTime(start).TotalSeconds < seconds)
        {
            byte[] input = Damage(corpus, random);
            long before = Stopwatch.GetTimestamp();
            try
            {
                usable += Try(parser, input) ? 1 : 0;
            }
            catch (Exception e) when (e is not OutOfMemoryException)
            {
                Assert.Fail($"{parser}, seed {seed}, run {runs}: {e.GetType().Name} {e.Message}\n{Convert.ToBase64String(input)}");
            }

            Assert.True(Stopwatch.GetElapsedTime(before).TotalSeconds < 5, $"{parser}, seed {seed}, run {runs} took {Stopwatch.GetElapsedTime(before).TotalSeconds:0.0} s\n{Convert.ToBase64String(input)}");
            runs++;
        }

        TestContext.Current.TestOutputHelper?.WriteLine($"{parser}: {runs} inputs, {usable} of them usable, seed {seed}");
        Assert.True(runs > 100 && usable > 0 && usable < runs, $"{runs} inputs, {usable} usable: the damage is too little or too much to find anything.");
    }

    private static string[] Corpus(string parser) => parser switch
    {
        "open" => [.. Sample.OpenForecast],
        "met" => ["met-norway-frost-morning.json"],
        _ => ["us-grid-frost-morning.json"],
    };

    private static bool Try(string parser, byte[] input)
    {
        switch (parser)
        {
            case "open":
                SavedReplyResult open = SavedReply.Parse(input, "fuzz", Now);
                Require(open.Faults.Count > 0 || open.Locations.Count > 0, "neither hours nor faults");
                foreach (ReplyLocation location in open.Locations)
                {
                    Require(location.Weather is null == location.Faults.Count > 0, "a location with both or neither");
                    Check(location.Weather);
                    location.Members.ToList().ForEach(Check);
                }

                return open.IsUsable;
            case "met":
                MetNorwayResult met = MetNorwayReply.Parse(input, "fuzz", Now);
                Require(met.Weather is null == met.Trouble is not null, "both or neither");
                Check(met.Weather);
                return met.Weather is not null;
            default:
                UsGridResult us = UsGridReply.Parse(input, "fuzz", Now);
                Require(us.Weather is null == us.Trouble is not null, "both or neither");
                Check(us.Weather);
                return us.Weather is not null;
        }
    }

    private static void Check(HourlyWeather? weather)
    {
        foreach (WeatherQuantity quantity in weather is null ? [] : Enum.GetValues<WeatherQuantity>())
        {
            ReadOnlySpan<double> column = weather![quantity];
            for (int i = 0; i < column.Length; i++)
            {
                bool missing = double.IsNaN(column[i]);
                Require(missing || PhysicalRange.Holds(quantity, column[i]), $"{quantity} is {column[i]}");
                Require(missing == (weather.OriginOf(quantity, i) == WeatherOrigin.Missing), $"{quantity} {column[i]} has the origin {weather.OriginOf(quantity, i)}");
            }
        }
    }

    private static void Require(bool holds, string what)
    {
        if (!holds)
        {
            throw new InvalidDataException(what);
        }
    }

    private static byte[] Damage(byte[][] corpus, Random random)
    {
        var bytes = new List<byte>(corpus[random.Next(corpus.Length)]);
        for (int change = random.Next(4); change >= 0; change--)
        {
            int at = random.Next(bytes.Count + 1), length = Math.Min(bytes.Count - at, random.Next(1, 60));
            switch (random.Next(7))
            {
                case 0:
                    bytes.RemoveRange(at, length);
                    break;
                case 1:
                    bytes.InsertRange(at, Words[random.Next(Words.Length)]);
                    break;
                case 2:
                    bytes.InsertRange(random.Next(bytes.Count + 1), bytes.GetRange(at, length));
                    break;
                case 3 when at < bytes.Count:
                    bytes[at] = (byte)random.Next(256);
                    break;
                case 4 when random.Next(8) == 0:
                    bytes.RemoveRange(at, bytes.Count - at);
                    break;
                default:
                    ReplaceNumber(bytes, at, random);
                    break;
            }
        }

        return [.. bytes];
    }

    /// <summary>Keeps the structure and changes one number, so that the checks behind the syntax are reached.</summary>
    private static void ReplaceNumber(List<byte> bytes, int from, Random random)
    {
        int start = bytes.FindIndex(from, b => b is >= (byte)'0' and <= (byte)'9');
        if (start < 0)
        {
            return;
        }

        int end = start;
        while (end < bytes.Count && (bytes[end] is >= (byte)'0' and <= (byte)'9' or (byte)'.'))
        {
            end++;
        }

        bytes.RemoveRange(start, end - start);
        string number = random.Next(5) switch
        {
            0 => "null",
            1 => random.Next(-1000, 2000).ToString(CultureInfo.InvariantCulture),
            2 => (1776823200L + (900 * random.Next(-40, 400))).ToString(CultureInfo.InvariantCulture),
            3 => random.NextInt64().ToString(CultureInfo.InvariantCulture),
            _ => (random.NextDouble() * 100).ToString("R", CultureInfo.InvariantCulture),
        };
        bytes.InsertRange(start, System.Text.Encoding.ASCII.GetBytes(number));
    }

    private static double Number(string variable, double otherwise) =>
        double.TryParse(Environment.GetEnvironmentVariable(variable), NumberStyles.Float, CultureInfo.InvariantCulture, out double value) ? value : otherwise;
}

using System.Text;
using CsCheck;
using GraftWatch.Forecasts.UsWeatherService;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.UsWeatherService;

public sealed class UsGridReplyTests
{
    private static readonly Instant Start = Instant.FromUtc(2026, 4, 22, 12, 0);

    [Fact]
    public void Intervals_become_hours_each_layer_by_itself()
    {
        HourlyWeather weather = Parse().Weather!;
        Assert.Equal(Instant.FromUtc(2026, 4, 22, 11, 0), weather.FirstHourEnd);
        Assert.Equal([28.0, 28, 28, 26, 34], weather[WeatherQuantity.AirC][..5].ToArray().Select(c => Math.Round((c * 1.8) + 32, 9)));
        Assert.Equal(34, Math.Round((weather[WeatherQuantity.AirC][28] * 1.8) + 32, 9));
        Assert.True(double.IsNaN(weather[WeatherQuantity.AirC][29]));
        Assert.Equal([85, 85, double.NaN], weather[WeatherQuantity.HumidityPct][..3].ToArray());

        // 11.112 km/h are six knots, 16.668 nine.
        Assert.Equal(6 * 1852.0 / 3600, weather[WeatherQuantity.WindMPerS][0], 9);
        Assert.Equal([double.NaN, 9 * 1852.0 / 3600, 9 * 1852.0 / 3600], weather[WeatherQuantity.GustMPerS][..3].ToArray().Select(v => Math.Round(v, 9)));
        Assert.Equal(0.81, weather[WeatherQuantity.CloudFrac][0], 12);
    }

    [Fact]
    public void Amounts_are_totals_of_their_interval_and_are_spread_over_the_hours_that_end_in_it()
    {
        HourlyWeather weather = Parse().Weather!;
        double[] rain = weather[WeatherQuantity.PrecipitationMm].ToArray();
        Assert.True(double.IsNaN(rain[1]));
        Assert.All(rain[2..8], r => Assert.Equal(2.54 / 6, r, 12));
        Assert.Equal(1.2, weather[WeatherQuantity.SnowfallCm][2..8].ToArray().Sum(), 12);
        Assert.Equal(WeatherOrigin.Derived, weather.OriginOf(WeatherQuantity.PrecipitationMm, 4));
    }

    [Fact]
    public void Hours_up_to_now_count_as_analysed()
    {
        HourlyWeather weather = Parse().Weather!;
        Assert.Equal(WeatherOrigin.Analysed, weather.OriginOf(WeatherQuantity.AirC, 1));
        Assert.Equal(WeatherOrigin.Forecast, weather.OriginOf(WeatherQuantity.AirC, 2));
        Assert.Equal(Instant.FromUtc(2026, 4, 22, 17, 13, 54), Parse().UpdatedAt);
    }

    [Theory]
    [InlineData("2026-04-22T11:00:00+00:00/PT1H", 1)]
    [InlineData("2026-04-22T11:00:00+00:00/P1DT6H", 30)]
    [InlineData("2026-04-22T11:00:00+00:00/P7DT14H", 182)]
    [InlineData("2026-04-22T11:00:00-07:00/PT13H", 13)]
    [InlineData("2026-04-22T11:00:00Z/P1D", 24)]
    [InlineData("2026-04-22T11:30:00+00:00/PT1H", null)]
    [InlineData("2026-04-22T11:00:00+00:00/PT90M", null)]
    [InlineData("2026-04-22T11:00:00+00:00/P1M", null)]
    [InlineData("2026-04-22T11:00:00+00:00/P99999D", null)]
    [InlineData("2026-04-22T11:00:00+00:00/PT-5H", null)]
    [InlineData("2026-04-22T11:00:00+00:00", null)]
    [InlineData("/", null)]
    [InlineData(null, null)]
    public void Valid_times_are_ISO_intervals_of_whole_hours(string? text, int? hours) =>
        Assert.Equal(hours, UsGridReply.ValidTime(text) is { } span ? (int)span.Duration.TotalHours : null);

    [Theory]
    [InlineData("", "is empty")]
    [InlineData("{\"title\":\"Unexpected Problem\"}", "holds no forecast grid")]
    [InlineData("{\"properties\":{\"temperature\":{\"uom\":\"wmoUnit:degC\",\"values\":[]}}}", "has no temperatures")]
    [InlineData("{\"properties\":{\"temperature\":{\"uom\":\"wmoUnit:K\",\"values\":[{\"validTime\":\"2026-04-22T11:00:00+00:00/PT1H\",\"value\":270}]}}}", "has no temperatures")]
    public void A_useless_reply_is_a_sentence(string json, string expected) =>
        Assert.Contains(expected, UsGridReply.Parse(Encoding.UTF8.GetBytes(json), "the reply", Start).Trouble, StringComparison.Ordinal);

    [Fact]
    public void Cutting_and_changing_bytes_never_throws()
    {
        byte[] whole = Sample.Bytes("us-grid-frost-morning.json");
        Gen.Select(Gen.Int[0, whole.Length - 1], Gen.Byte).Array[1, 6].Sample(
            changes =>
            {
                byte[] bytes = [.. whole];
                foreach ((int at, byte value) in changes)
                {
                    bytes[at] = value;
                }

                UsGridResult result = UsGridReply.Parse(bytes, "reply", Start);
                return result.Weather is null ? result.Trouble is not null : result.Trouble is null;
            },
            iter: 5_000);
    }

    private static UsGridResult Parse() => UsGridReply.Parse(Sample.Bytes("us-grid-frost-morning.json"), "the reply", Start);
}

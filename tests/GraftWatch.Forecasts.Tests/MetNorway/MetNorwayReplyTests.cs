using System.Text;
using CsCheck;
using GraftWatch.Forecasts.MetNorway;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.MetNorway;

public sealed class MetNorwayReplyTests
{
    private static readonly Instant Start = Instant.FromUtc(2026, 4, 22, 4, 0);

    [Fact]
    public void Instants_stand_at_their_stamp_and_rain_moves_to_the_end_of_its_hour()
    {
        HourlyWeather weather = Parse().Weather!;
        Assert.Equal(Start, weather.FirstHourEnd);
        Assert.Equal(15, weather.Hours);
        Assert.Equal(-0.4, weather[WeatherQuantity.AirC][0]);
        Assert.Equal(0.1, weather[WeatherQuantity.CloudFrac][0], 12);
        Assert.Equal(2.1, weather[WeatherQuantity.GustMPerS][0]);
        Assert.True(double.IsNaN(weather[WeatherQuantity.PrecipitationMm][0]));

        // next_1_hours of 04:00 ends at 05:00; the overlapping next_6_hours of the hourly part is not added.
        Assert.Equal(0.3, weather[WeatherQuantity.PrecipitationMm][1]);
        Assert.Equal(WeatherOrigin.Analysed, weather.OriginOf(WeatherQuantity.AirC, 0));
        Assert.Equal(WeatherOrigin.Forecast, weather.OriginOf(WeatherQuantity.AirC, 1));
    }

    [Fact]
    public void Six_hourly_rows_are_filled_by_derived_hours_that_reach_the_stated_extremes()
    {
        HourlyWeather weather = Parse().Weather!;
        double[] air = weather[WeatherQuantity.AirC].ToArray();

        // 06:00 is 5.0 with a stated minimum of 4.6 before 12:00 at 8.0.
        Assert.Equal(4.6, air[2..9].Min());
        Assert.Equal(9.5, air[8..15].Max());
        Assert.DoesNotContain(double.NaN, air);
        Assert.Equal(WeatherOrigin.Forecast, weather.OriginOf(WeatherQuantity.AirC, 8));
        Assert.Equal(WeatherOrigin.Derived, weather.OriginOf(WeatherQuantity.AirC, 5));
        Assert.Equal(0.2, weather[WeatherQuantity.PrecipitationMm][3], 12);
        Assert.Equal(1.2, weather[WeatherQuantity.PrecipitationMm][3..9].ToArray().Sum(), 12);
        Assert.Equal(WeatherOrigin.Derived, weather.OriginOf(WeatherQuantity.PrecipitationMm, 5));
    }

    [Fact]
    public void What_the_product_lacks_stays_missing()
    {
        MetNorwayResult result = Parse();
        HourlyWeather weather = result.Weather!;

        // Gusts stop where rows become six-hourly, directions are not drawn through a circle.
        Assert.True(double.IsNaN(weather[WeatherQuantity.GustMPerS][5]));
        Assert.True(double.IsNaN(weather[WeatherQuantity.WindFromDeg][5]));
        Assert.False(weather.Has(WeatherQuantity.GlobalWPerM2));
        Assert.Contains(result.Gaps, g => g.StartsWith("Without global radiation", StringComparison.Ordinal));
        Assert.Equal((Instant.FromUtc(2026, 4, 22, 3, 12, 40), 496.0), (result.UpdatedAt, result.ElevationM));
    }

    [Fact]
    public void A_row_without_a_value_is_not_drawn_over()
    {
        string json = Sample.Text("met-norway-frost-morning.json").Replace("\"air_temperature\":0.6,", string.Empty, StringComparison.Ordinal);
        Assert.True(double.IsNaN(MetNorwayReply.Parse(Encoding.UTF8.GetBytes(json), "reply", Start).Weather![WeatherQuantity.AirC][1]));
    }

    [Theory]
    [InlineData("", "is empty")]
    [InlineData("<html>400</html>", "is a web page")]
    [InlineData("{}", "holds no hours")]
    [InlineData("{\"properties\":{\"timeseries\":[1,2]}}", "a row without a time")]
    [InlineData("{\"properties\":{\"timeseries\":[{\"time\":\"2026-04-22T04:00:00Z\",\"data\":{}},{\"time\":\"2026-04-22T04:00:00Z\",\"data\":{}}]}}", "out of order, twice")]
    [InlineData("{\"properties\":{\"timeseries\":[{\"time\":\"2026-04-22T04:00:00Z\",\"data\":{}},{\"time\":\"2036-04-22T04:00:00Z\",\"data\":{}}]}}", "spans more than")]
    [InlineData("{\"properties\":{\"timeseries\":[{\"time\":\"2026-04-22T04:00:00Z\",\"data\":{}},{\"time\":\"2026-04-22T05:00:00Z\",\"data\":{}}]}}", "has no air temperature")]
    public void A_useless_reply_is_a_sentence(string json, string expected) =>
        Assert.Contains(expected, MetNorwayReply.Parse(Encoding.UTF8.GetBytes(json), "the reply", Start).Trouble, StringComparison.Ordinal);

    [Fact]
    public void Cutting_and_changing_bytes_never_throws_and_never_invents_extremes()
    {
        byte[] whole = Sample.Bytes("met-norway-frost-morning.json");
        Gen.Select(Gen.Int[0, whole.Length - 1], Gen.Byte).Array[1, 6].Sample(
            changes =>
            {
                byte[] bytes = [.. whole];
                foreach ((int at, byte value) in changes)
                {
                    bytes[at] = value;
                }

                MetNorwayResult result = MetNorwayReply.Parse(bytes, "reply", Start);
                return result.Weather is null ? result.Trouble is not null : result.Trouble is null;
            },
            iter: 5_000);
    }

    private static MetNorwayResult Parse() => MetNorwayReply.Parse(Sample.Bytes("met-norway-frost-morning.json"), "the reply", Start);
}

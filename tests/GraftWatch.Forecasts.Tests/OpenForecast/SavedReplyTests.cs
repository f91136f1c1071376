using System.Globalization;
using System.Text;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.OpenForecast;

public sealed class SavedReplyTests
{
    private static readonly Instant TwoUtc = Instant.FromUtc(2026, 4, 22, 2, 0);

    [Fact]
    public void Every_column_of_a_full_reply_is_read()
    {
        ReplyLocation location = Only("open-frost-morning.json");
        HourlyWeather weather = location.Weather!;
        Assert.Equal(TwoUtc, weather.FirstHourEnd);
        Assert.Equal(6, weather.Hours);
        Assert.Equal((47.66, 9.179999, 404.0, "GMT"), (location.LatitudeDeg, location.LongitudeDeg, location.ElevationM, location.TimeZone));
        foreach (WeatherQuantity quantity in Enum.GetValues<WeatherQuantity>())
        {
            Assert.True(weather.Has(quantity), quantity.ToString());
        }

        Assert.Equal(-0.8, weather[WeatherQuantity.AirC][3]);
        Assert.Equal(96, weather[WeatherQuantity.HumidityPct][3]);
        Assert.Equal(0.12, weather[WeatherQuantity.CloudFrac][5], 12);
        Assert.Equal(96.88, weather[WeatherQuantity.PressureKPa][5], 12);
        Assert.Equal(0.2, weather[WeatherQuantity.PrecipitationMm][5]);
        Assert.Empty(location.Gaps);
    }

    [Fact]
    public void A_negative_zero_becomes_a_plain_zero()
    {
        double value = Only("open-frost-morning.json").Weather![WeatherQuantity.GlobalWPerM2][1];
        Assert.Equal(0L, BitConverter.DoubleToInt64Bits(value));
    }

    [Fact]
    public void American_units_old_names_and_local_stamps_become_SI_and_UTC()
    {
        SavedReplyResult result = SavedReply.Parse(Sample.Bytes("open-two-places-american-units-old-names.json"), "reply", null);
        Assert.Empty(result.Faults);
        Assert.Equal(2, result.Locations.Count);
        HourlyWeather weather = result.Locations[0].Weather!;

        // 04:00 at UTC+2.
        Assert.Equal(TwoUtc, weather.FirstHourEnd);
        Assert.Equal((34.5 - 32) / 1.8, weather[WeatherQuantity.AirC][0], 10);

        // International mile, 1609.344 m exactly.
        Assert.Equal(16093.44 / 3600, weather[WeatherQuantity.WindMPerS][0], 10);
        Assert.Equal(2.54, weather[WeatherQuantity.PrecipitationMm][0], 10);
        Assert.Equal(2.54, weather[WeatherQuantity.SnowfallCm][0], 10);
        Assert.Equal(0.5, weather[WeatherQuantity.CloudFrac][0]);
        Assert.True(double.IsNaN(weather[WeatherQuantity.GustMPerS][0]));
        Assert.False(weather.Has(WeatherQuantity.PressureKPa));
        Assert.Equal((1, 52.52), (result.Locations[1].Index, result.Locations[1].LatitudeDeg));
    }

    [Theory]
    [InlineData("m/s", 10, 10)]
    [InlineData("km/h", 36, 10)]
    [InlineData("kn", 1, 1852.0 / 3600)]
    [InlineData("mp/h", 1, 0.44704)]
    public void Every_wind_unit_of_the_API_is_understood(string unit, double written, double expectedMPerS)
    {
        string json = Reply($"\"wind_speed_10m\":\"{unit}\"", string.Create(CultureInfo.InvariantCulture, $"\"wind_speed_10m\":[{written},null]"));
        Assert.Equal(expectedMPerS, Parse(json).Locations[0].Weather![WeatherQuantity.WindMPerS][0], 12);
    }

    [Fact]
    public void Nulls_impossible_values_and_left_out_hours_are_gaps_that_are_told()
    {
        ReplyLocation location = Only("open-nulls-and-undefined.json");
        HourlyWeather weather = location.Weather!;
        Assert.Equal(6, weather.Hours);
        Assert.Equal([1.4, double.NaN, double.NaN, double.NaN, double.NaN, 4.2], weather[WeatherQuantity.AirC].ToArray());
        Assert.Equal([10, 5, double.NaN, double.NaN, double.NaN, double.NaN], weather[WeatherQuantity.WindMPerS].ToArray());
        Assert.Equal(WeatherOrigin.Missing, weather.OriginOf(WeatherQuantity.AirC, 2));
        Assert.Equal(7.1, weather[WeatherQuantity.SoilShallowC][0]);
        Approved.Text("gaps-of-nulls-and-undefined", string.Join('\n', location.Gaps) + "\n");
    }

    [Fact]
    public void Hours_up_to_the_start_of_the_forecast_are_past_with_the_origin_asked_for()
    {
        HourlyWeather weather = SavedReply.Parse(Sample.Bytes("open-frost-morning.json"), "reply", TwoUtc + Duration.FromHours(2), WeatherOrigin.Measured)
            .Locations[0].Weather!;
        WeatherOrigin[] origins = [.. Enumerable.Range(0, 6).Select(h => weather.OriginOf(WeatherQuantity.AirC, h))];
        Assert.Equal(
            [WeatherOrigin.Measured, WeatherOrigin.Measured, WeatherOrigin.Measured, WeatherOrigin.Forecast, WeatherOrigin.Forecast, WeatherOrigin.Forecast],
            origins);
    }

    [Fact]
    public void Members_of_an_ensemble_share_the_grid_and_the_units_of_the_control_run()
    {
        string json = Reply(
            "\"temperature_2m\":\"°F\",\"temperature_2m_member01\":\"°F\"",
            "\"temperature_2m\":[32,50],\"temperature_2m_member01\":[50,null],\"temperature_2m_member02\":[32,32]");
        ReplyLocation location = Parse(json).Locations[0];
        Assert.Equal(2, location.Members.Count);
        Assert.Equal(10, location.Members[0][WeatherQuantity.AirC][0], 12);
        Assert.True(double.IsNaN(location.Members[0][WeatherQuantity.AirC][1]));
        Assert.Equal(0, location.Members[1][WeatherQuantity.AirC][1], 12);
    }

    [Fact]
    public void Today_s_column_wins_and_an_older_one_fills_what_it_leaves_empty()
    {
        string json = Reply(
            "\"soil_temperature_6cm\":\"°C\",\"soil_temperature_0_to_7cm\":\"°C\"",
            "\"soil_temperature_0_to_7cm\":[1,2],\"soil_temperature_6cm\":[null,5]");
        Assert.Equal([1, 5], Parse(json).Locations[0].Weather![WeatherQuantity.SoilShallowC].ToArray());
    }

    [Fact]
    public void Numbers_are_read_as_the_library_reads_them()
    {
        string[] written = ["0.1", "-12.3", "1e-2", "5E+0", "0.30000000000000004", "12345678901234567890e-18", "7.000000", "-0", "59.999999999999996", "1.7976931348623157e1"];
        string time = string.Join(',', written.Select((_, i) => 1776823200 + (3600 * i)));
        string json = Reply("\"temperature_2m\":\"°C\"", $"\"temperature_2m\":[ {string.Join(" ,\n", written)} ]", time);
        double[] read = Parse(json).Locations[0].Weather![WeatherQuantity.AirC].ToArray();
        Assert.Equal(written.Select(w => double.Parse(w, CultureInfo.InvariantCulture) + 0.0).ToArray(), read);
    }

    [Fact]
    public void One_empty_location_in_a_list_leaves_the_others_usable()
    {
        string good = Reply("\"temperature_2m\":\"°C\"", "\"temperature_2m\":[1,2]");
        string empty = Reply("\"temperature_2m\":\"°C\"", "\"temperature_2m\":[null,null]");
        SavedReplyResult result = Parse($"[{good},{empty},{good}]");
        Assert.Equal([true, false, true], result.Locations.Select(l => l.Weather is not null));
        Assert.Contains("location 2", Assert.Single(result.Faults), StringComparison.Ordinal);
    }

    [Fact]
    public void A_byte_order_mark_is_passed_over()
    {
        byte[] bytes = [.. Encoding.UTF8.Preamble, .. Sample.Bytes("open-frost-morning.json")];
        Assert.Empty(SavedReply.Parse(bytes, "reply", null).Faults);
    }

    [Theory]
    [MemberData(nameof(SharedFiles))]
    public void Measured_weather_in_the_API_s_shape_parses(string file)
    {
        string path = SharedData.PathOrSkip(file);
        SavedReplyResult result = SavedReply.Parse(File.ReadAllBytes(path), Path.GetFileName(path), null);
        Assert.Empty(result.Faults);
        HourlyWeather weather = Assert.Single(result.Locations).Weather!;
        Assert.True(weather.Hours is 240 or 2376 or 2400);
        Assert.DoesNotContain(double.NaN, weather[WeatherQuantity.AirC].ToArray());
        Assert.False(weather.Has(WeatherQuantity.DirectHorizontalWPerM2));
    }

    [Fact]
    public void The_frost_of_25_April_2015_is_in_the_measured_orchard_file()
    {
        string path = SharedData.PathOrSkip("weather/orchard-massachusetts-2015-april-frost.json");
        HourlyWeather weather = SavedReply.Parse(File.ReadAllBytes(path), "frost", null).Locations[0].Weather!;

        // The note beside the data: light air frosts on 24 and 25 April, -0.1 and -0.4 °C.
        Assert.Equal(-0.4, weather[WeatherQuantity.AirC].ToArray().Min());
    }

    public static TheoryData<string> SharedFiles() => [.. SharedData.WeatherFiles];

    internal static string Reply(string units, string columns, string time = "1776823200,1776826800") =>
        $$$"""{"latitude":50.0,"longitude":10.0,"utc_offset_seconds":0,"timezone":"GMT","hourly_units":{"time":"unixtime",{{{units}}}},"hourly":{"time":[{{{time}}}],{{{columns}}}}}""";

    internal static SavedReplyResult Parse(string json) => SavedReply.Parse(Encoding.UTF8.GetBytes(json), "frost.json", null);

    private static ReplyLocation Only(string sample)
    {
        SavedReplyResult result = SavedReply.Parse(Sample.Bytes(sample), sample, null);
        Assert.Empty(result.Faults);
        return Assert.Single(result.Locations);
    }
}

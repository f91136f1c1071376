using System.Globalization;
using System.Text;
using CsCheck;
using GraftWatch.Forecasts.Station;
using GraftWatch.Microclimate.Weather;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Forecasts.Tests.Station;

public sealed class StationTextTests
{
    private static readonly Instant T0 = Instant.FromUtc(2026, 4, 22, 2, 0);

    [Fact]
    public void Readings_between_the_hours_are_brought_to_the_hour()
    {
        const string Csv = """
            time,air_c,rain_mm,gust_ms,ghi_wm2,battery_v
            2026-04-22T01:40Z,1.0,0.0,2.0,0,3.1
            2026-04-22T02:10Z,0.4,0.2,3.0,-3,3.1
            2026-04-22T02:40Z,0.0,0.2,5.0,10,3.1
            2026-04-22T03:00Z,-0.4,0.1,4.0,20,3.1

            """;
        HourlyWeather hours = Parse(Csv).Readings.ToHours(T0, T0 + Duration.FromHours(1))!;
        Assert.Equal(T0, hours.FirstHourEnd);
        Assert.Equal(1.0 - (0.6 * 20 / 30), hours[WeatherQuantity.AirC][0], 9);
        Assert.Equal(-0.4, hours[WeatherQuantity.AirC][1]);
        Assert.Equal([double.NaN, 0.5], hours[WeatherQuantity.PrecipitationMm].ToArray().Select(v => Math.Round(v, 9)));
        Assert.Equal(5, hours[WeatherQuantity.GustMPerS][1]);

        // Three watts below nothing at night are the instrument's own cooling.
        Assert.Equal(10, hours[WeatherQuantity.GlobalWPerM2][1], 9);
        Assert.Equal(WeatherOrigin.Measured, hours.OriginOf(WeatherQuantity.AirC, 1));
    }

    [Fact]
    public void A_hole_in_the_readings_is_a_hole_in_the_hours()
    {
        HourlyWeather hours = Parse("time;air_c\n2026-04-22 02:00;1\n2026-04-22 03:00;2\n2026-04-22 06:00;5\n2026-04-22 07:00;6\n").Readings.ToHours(T0, T0 + Duration.FromHours(5))!;
        Assert.Equal([1, 2, double.NaN, double.NaN, 5, 6], hours[WeatherQuantity.AirC].ToArray());
    }

    [Fact]
    public void JSON_with_the_same_names_is_read()
    {
        const string Json = """{"station":"hollow","readings":[{"time":"2026-04-22T02:00:00Z","air_c":-1.5,"rh_pct":103},{"time":"2026-04-22T03:00:00Z","air_c":null}]}""";
        StationText.Result read = Parse(Json);
        HourlyWeather hours = read.Readings.ToHours(T0, T0 + Duration.FromHours(1))!;
        Assert.Equal([-1.5, double.NaN], hours[WeatherQuantity.AirC].ToArray());
        Assert.Equal(100, hours[WeatherQuantity.HumidityPct][0]);
        Assert.Empty(read.Faults);
    }

    [Fact]
    public void Every_line_that_cannot_be_read_is_told_and_the_others_count()
    {
        const string Csv = "time;air_c\n2026-04-22 02:00;1,5\nyesterday;1\n2026-04-22 03:00;99\n2026-04-22 02:30;1\n2026-04-22 04:00;2\n";
        StationText.Result read = Parse(Csv);
        Assert.Equal(
            [
                "hollow.csv, line 2: air_c is \"1,5\", not a number; write a decimal point, not a comma.",
                "hollow.csv, line 3: the time \"yesterday\" is not of the form 2026-04-22T02:00Z or 2026-04-22 02:00.",
                "hollow.csv, line 4: air_c is 99, which cannot be, and counts as missing.",
                "hollow.csv, line 5: the time does not follow on the line before and is passed over.",
            ],
            read.Faults);
        Assert.Equal(2, read.Readings.ToHours(T0, T0 + Duration.FromHours(2))![WeatherQuantity.AirC][2]);
    }

    [Fact]
    public void A_last_line_that_is_still_being_written_is_no_fault() =>
        Assert.Empty(Parse("time,air_c\n2026-04-22T02:00Z,1.5\n2026-04-22T03:00Z,1.\n2026-04-2").Faults);

    [Theory]
    [InlineData("", "is empty")]
    [InlineData("date,temp\n1,2\n", "needs a header with time and at least one of air_c")]
    [InlineData("[1,2", "is cut off or not valid JSON")]
    [InlineData("{}", "holds no readings")]
    public void A_useless_file_is_a_sentence(string text, string expected) =>
        Assert.Contains(expected, Assert.Single(Parse(text).Faults), StringComparison.Ordinal);

    /// <summary>Half-hourly readings in local time without an offset, over clock changes of an hour, of half an hour, at midnight, and of none.</summary>
    [Theory]
    [InlineData("Europe/Berlin", "2026-10-24T22:00:00Z")]
    [InlineData("Europe/Berlin", "2027-03-27T22:00:00Z")]
    [InlineData("America/New_York", "2026-11-01T04:00:00Z")]
    [InlineData("Australia/Lord_Howe", "2026-10-03T13:00:00Z")]
    [InlineData("Australia/Lord_Howe", "2027-04-03T13:00:00Z")]
    [InlineData("Africa/Cairo", "2026-10-29T18:00:00Z")]
    [InlineData("Asia/Beirut", "2027-03-27T20:00:00Z")]
    [InlineData("America/Santiago", "2027-04-04T00:00:00Z")]
    [InlineData("Asia/Kolkata", "2026-10-25T00:00:00Z")]
    [InlineData("Asia/Kathmandu", "2026-10-25T00:00:00Z")]
    public void Local_times_over_a_clock_change_are_the_right_instants(string zoneId, string startText)
    {
        DateTimeZone zone = DateTimeZoneProviders.Tzdb[zoneId];
        Instant start = InstantPattern.ExtendedIso.Parse(startText).Value;
        var csv = new StringBuilder("time,air_c\n");
        for (int i = 0; i <= 24; i++)
        {
            LocalDateTime local = (start + Duration.FromMinutes(30 * i)).InZone(zone).LocalDateTime;
            csv.Append(LocalDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm").Format(local)).Append(CultureInfo.InvariantCulture, $",{i / 10.0}\n");
        }

        StationText.Result read = StationText.Parse(csv.ToString(), "hollow.csv", zone);
        Assert.Empty(read.Faults);
        double[] hours = read.Readings.ToHours(start, start + Duration.FromHours(12))![WeatherQuantity.AirC].ToArray();
        Assert.Equal(Enumerable.Range(0, 13).Select(h => Math.Round(0.2 * h, 9)), hours.Select(v => Math.Round(v, 9)));
    }

    [Fact]
    public void Any_text_never_throws() => Gen.Select(Gen.String[0, 300], Gen.Bool).Sample(
        (text, header) => StationText.Parse(header ? "time,air_c\n" + text : text, "x.csv", DateTimeZone.Utc).Faults is not null, iter: 5_000);

    private static StationText.Result Parse(string text) => StationText.Parse(text, "hollow.csv", DateTimeZone.Utc);
}

using CsCheck;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Weather;
using NodaTime;

namespace GraftWatch.Records.Tests.Weather;

public sealed class DayColumnsTests
{
    [Fact]
    public void Every_quantity_has_a_code()
    {
        var day = new DayColumns();
        foreach (WeatherQuantity quantity in Enum.GetValues<WeatherQuantity>())
        {
            Assert.True(day.Offer(quantity, 5, 0.5, WeatherOrigin.Measured));
        }

        Assert.Equal(Enum.GetValues<WeatherQuantity>().Order(), DayColumns.TryDecode(day.Encode())!.Known.Order());
    }

    [Fact]
    public void Midnight_is_the_last_hour_of_the_day_before()
    {
        Instant midnight = Instant.FromUtc(2027, 5, 11, 0, 0);
        Assert.Equal((new LocalDate(2027, 5, 10), 23), (WeatherRecords.DayOf(midnight), WeatherRecords.HourOf(midnight)));
        Instant one = midnight + Duration.FromHours(1);
        Assert.Equal((new LocalDate(2027, 5, 11), 0), (WeatherRecords.DayOf(one), WeatherRecords.HourOf(one)));
    }

    // A day as a service prints it: one decimal, a daily course.
    [Fact]
    public void A_full_day_takes_less_than_a_third_of_its_plain_size()
    {
        var day = new DayColumns();
        foreach ((int i, WeatherQuantity quantity) in Enum.GetValues<WeatherQuantity>().Index())
        {
            for (int hour = 0; hour < 24; hour++)
            {
                day.Offer(quantity, hour, Math.Round(10 + i + (8 * Math.Sin((hour - 9) * Math.PI / 12)), 1), WeatherOrigin.Forecast);
            }
        }

        int plain = 19 * 24 * sizeof(double);
        Assert.InRange(day.Encode().Length, 200, plain / 3);
    }

    [Fact]
    public void Damaged_bytes_read_as_nothing_and_never_throw()
    {
        var day = new DayColumns();
        day.Offer(WeatherQuantity.AirC, 3, 12.5, WeatherOrigin.Forecast);
        byte[] good = day.Encode();
        Gen.Select(Gen.Int[0, good.Length - 1], Gen.Byte).Sample((at, with) =>
        {
            byte[] bad = [.. good];
            bad[at] = with;
            _ = DayColumns.TryDecode(bad);
            _ = DayColumns.TryDecode(bad[..at]);
        });
        Gen.Byte.Array[0, 300].Sample(bytes => { _ = DayColumns.TryDecode(bytes); });
        Assert.Null(DayColumns.TryDecode([]));
        Assert.Null(DayColumns.TryDecode(good[..^1]));
    }
}

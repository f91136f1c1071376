using CsCheck;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Weather;
using NodaTime;

namespace GraftWatch.Records.Tests.Weather;

public sealed class DayColumnsTests
{
    private const string OlderDay = "B401000013B301008CD4484D73BBF5F6FB4B50B5C313EB8210854CCCC4AE759B200112986D79FE97A5D63D75511758A2B3810D7137C1D94464B03186ADA0DDF2060D505FFB2873DD5A1E5F7F4BC4070111A9A25A95D005140858385198C674E6996E32D98D87DAFE1B02";

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
    public void A_full_day_takes_less_than_a_tenth_of_its_plain_size()
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
        Assert.InRange(day.Encode().Length, 50, plain / 10);
    }

    [Fact]
    public void A_day_behind_a_change_of_units_takes_as_little()
    {
        var day = new DayColumns();
        foreach ((int i, WeatherQuantity quantity) in Enum.GetValues<WeatherQuantity>().Index())
        {
            for (int hour = 0; hour < 24; hour++)
            {
                double printed = Math.Round(900 + i + (8 * Math.Sin((hour - 9) * Math.PI / 12)), 1);
                day.Put(quantity, hour, i % 3 == 0 ? printed : i % 3 == 1 ? 0.1 * printed : 0.01 * printed, WeatherOrigin.Forecast);
            }
        }

        Assert.InRange(day.Encode().Length, 50, 19 * 24 * sizeof(double) / 10);
    }

    [Fact]
    public void Any_number_and_any_gap_comes_back_to_the_last_bit()
    {
        Gen<double> printed = Gen.Select(Gen.Int[-200_000, 200_000], Gen.Int[0, 6], Gen.OneOfConst(1.0, 0.1, 0.01, 1 / 3.6), (whole, decimals, factor) => whole / Math.Pow(10, decimals) * factor);
        Gen<double> odd = Gen.OneOf(Gen.Double, Gen.OneOfConst(double.NaN, -0.0, double.Epsilon, double.MaxValue, double.PositiveInfinity, 1e9, 0.1 + 0.2));
        Gen<double[]> column = Gen.OneOf(printed.Array[24], Gen.OneOf(printed, odd).Array[24], Gen.Int[-999, 999].Select(whole => whole / 10.0).Array[24]);
        Gen.Select(column, Gen.OneOfConst(Enum.GetValues<WeatherOrigin>()).Array[24], Gen.Bool, (values, origins, ordinary) => (values, origins, ordinary)).Sample(one =>
        {
            var day = new DayColumns();
            for (int hour = 0; hour < 24; hour++)
            {
                // A history has no number without an origin; an archive that was written by hand may.
                bool missing = one.origins[hour] == WeatherOrigin.Missing;
                day.Put(WeatherQuantity.AirC, hour, one.ordinary && missing ? double.NaN : one.values[hour], one.origins[hour]);
            }

            DayColumns back = DayColumns.TryDecode(day.Encode())!;
            for (int hour = 0; hour < 24; hour++)
            {
                (double before, WeatherOrigin origin) = day[WeatherQuantity.AirC, hour];
                (double after, WeatherOrigin originAfter) = back[WeatherQuantity.AirC, hour];
                Assert.Equal((BitConverter.DoubleToInt64Bits(before), origin), (BitConverter.DoubleToInt64Bits(after), originAfter));
            }
        }, iter: 5000);
    }

    // Written by the program of step 5, before decimals were kept as whole numbers.
    [Fact]
    public void A_day_of_the_older_layout_is_still_read()
    {
        DayColumns day = DayColumns.TryDecode(Convert.FromHexString(OlderDay))!;
        Assert.Equal([WeatherQuantity.AirC, WeatherQuantity.WindMPerS], day.Known);
        Assert.Equal((12.3, WeatherOrigin.Forecast), day[WeatherQuantity.AirC, 0]);
        Assert.Equal((12.3 + (23 * 0.1), WeatherOrigin.Forecast), day[WeatherQuantity.AirC, 23]);
        Assert.Equal(WeatherOrigin.Missing, day[WeatherQuantity.WindMPerS, 6].Origin);
        Assert.Equal((Math.PI, WeatherOrigin.Measured), day[WeatherQuantity.WindMPerS, 7]);
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

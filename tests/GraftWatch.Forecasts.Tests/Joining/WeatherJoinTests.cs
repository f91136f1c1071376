using CsCheck;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Microclimate.Humidity;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Joining;

public sealed class WeatherJoinTests
{
    private static readonly Instant T0 = Hours.Start;

    [Fact]
    public void A_new_run_replaces_forecast_hours_and_past_hours_keep_the_better_origin()
    {
        Instant now = T0 + Duration.FromHours(2);
        HourlyWeather kept = new HourlyWeather.Builder(T0, 6)
            .Set(WeatherQuantity.AirC, 0, 1, WeatherOrigin.Measured)
            .Set(WeatherQuantity.AirC, 1, 2, WeatherOrigin.Forecast)
            .Set(WeatherQuantity.AirC, 2, 3, WeatherOrigin.Analysed)
            .Set(WeatherQuantity.AirC, 3, 4, WeatherOrigin.Forecast)
            .Set(WeatherQuantity.AirC, 4, 5, WeatherOrigin.Forecast)
            .Set(WeatherQuantity.AirC, 5, 6, WeatherOrigin.Forecast)
            .Build();
        HourlyWeather fresh = new HourlyWeather.Builder(T0, 5)
            .Set(WeatherQuantity.AirC, 0, 11, WeatherOrigin.Analysed)
            .Set(WeatherQuantity.AirC, 1, 12, WeatherOrigin.Analysed)
            .Set(WeatherQuantity.AirC, 2, 13, WeatherOrigin.Analysed)
            .Set(WeatherQuantity.AirC, 3, 14, WeatherOrigin.Forecast)
            .Build();
        HourlyWeather joined = WeatherJoin.Renew(kept, fresh, now);
        Assert.Equal([1, 12, 13, 14, double.NaN], joined[WeatherQuantity.AirC].ToArray());
        Assert.Equal(WeatherOrigin.Measured, joined.OriginOf(WeatherQuantity.AirC, 0));
        Assert.Equal(WeatherOrigin.Missing, joined.OriginOf(WeatherQuantity.AirC, 4));
    }

    [Fact]
    public void The_grid_reaches_from_the_first_kept_hour_to_the_last_new_one_with_the_hole_between_left_open()
    {
        HourlyWeather kept = Hours.Air(T0, WeatherOrigin.Analysed, 1, 2);
        HourlyWeather fresh = Hours.Air(T0 + Duration.FromHours(4), WeatherOrigin.Forecast, 5, 6);
        HourlyWeather joined = WeatherJoin.Renew(kept, fresh, T0 + Duration.FromHours(3));
        Assert.Equal([1, 2, double.NaN, double.NaN, 5, 6], joined[WeatherQuantity.AirC].ToArray());
    }

    [Fact]
    public void A_measured_temperature_keeps_the_vapour_of_the_model_not_its_relative_humidity()
    {
        HourlyWeather model = Hours.Of(
            T0, WeatherOrigin.Analysed, (WeatherQuantity.AirC, [10, 10]), (WeatherQuantity.HumidityPct, [60, 60]), (WeatherQuantity.DewPointC, [2.59, 2.59]));
        HourlyWeather joined = WeatherJoin.Overlay(model, Hours.Air(T0, WeatherOrigin.Measured, 5, 1));
        Assert.Equal(5, joined[WeatherQuantity.AirC][0]);
        Assert.Equal(Humidity.HumidityPct(5, Humidity.VapourPressureKPa(2.59)), joined[WeatherQuantity.HumidityPct][0], 9);
        Assert.Equal(WeatherOrigin.Derived, joined.OriginOf(WeatherQuantity.HumidityPct, 0));

        // Below the model's dew point the air is saturated.
        Assert.Equal((100.0, 1.0), (joined[WeatherQuantity.HumidityPct][1], joined[WeatherQuantity.DewPointC][1]));
    }

    [Fact]
    public void A_member_takes_from_the_main_run_what_it_lacks_and_nothing_of_the_past()
    {
        Instant now = T0 + Duration.FromHours(1);
        HourlyWeather main = Hours.Run(T0, now, 4, _ => 10, _ => 3);
        HourlyWeather member = WeatherJoin.CompleteMember(main, Hours.Air(T0 + Duration.FromHours(1), WeatherOrigin.Forecast, 1, 2, 3));
        Assert.Equal([10, 10, 2, 3], member[WeatherQuantity.AirC].ToArray());
        Assert.Equal([3, 3, 3, 3], member[WeatherQuantity.WindMPerS].ToArray());
    }

    [Fact]
    public void Joining_never_invents_a_number_and_never_loses_a_new_one()
    {
        Gen<double> value = Gen.OneOf(Gen.Double[-20, 30], Gen.Const(double.NaN));
        Gen.Select(value.Array[1, 40], value.Array[1, 40], Gen.Int[-45, 45], Gen.Int[-10, 60]).Sample((old, young, shift, past) =>
        {
            Instant now = T0 + Duration.FromHours(past);
            HourlyWeather kept = Hours.Air(T0, WeatherOrigin.Forecast, old), fresh = Hours.Air(T0 + Duration.FromHours(shift), WeatherOrigin.Forecast, young);
            HourlyWeather joined = WeatherJoin.Renew(kept, fresh, now);
            for (int i = 0; i < joined.Hours; i++)
            {
                Instant end = joined.EndOf(i);
                double got = joined[WeatherQuantity.AirC][i], o = At(kept, end), y = At(fresh, end);
                double want = !double.IsNaN(y) ? y : end <= now ? o : double.NaN;
                if (!got.Equals(want))
                {
                    return false;
                }
            }

            return joined.LastHourEnd == fresh.LastHourEnd;
        });

        static double At(HourlyWeather weather, Instant end)
        {
            int i = weather.IndexOf(end);
            return i >= 0 && i < weather.Hours ? weather[WeatherQuantity.AirC][i] : double.NaN;
        }
    }
}

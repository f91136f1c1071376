using CsCheck;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Joining;

public sealed class WeatherCompletionTests
{
    private static readonly Site Site = new() { LatitudeDeg = 47.66, LongitudeDeg = 9.18, ElevationM = 404 };
    private static readonly Instant Noon = Instant.FromUtc(2026, 6, 21, 12, 0);

    /// <summary>Magnus values of the weather facts' check table, computed there with 17.625/243.04; ours are [Allen1998] eq. 10, 11, which differ by under 0.03 K here.</summary>
    [Theory]
    [InlineData(0, 80, -3.04)]
    [InlineData(10, 60, 2.59)]
    [InlineData(20, 50, 9.26)]
    [InlineData(30, 40, 14.93)]
    public void Dew_point_is_derived_from_humidity(double airC, double humidityPct, double dewPointC)
    {
        HourlyWeather whole = Complete((WeatherQuantity.AirC, [airC]), (WeatherQuantity.HumidityPct, [humidityPct]));
        Assert.Equal(dewPointC, whole[WeatherQuantity.DewPointC][0], 0.05);
        Assert.Equal(WeatherOrigin.Derived, whole.OriginOf(WeatherQuantity.DewPointC, 0));
    }

    [Fact]
    public void Humidity_is_derived_from_the_dew_point_and_never_exceeds_saturation()
    {
        HourlyWeather whole = Complete((WeatherQuantity.AirC, [10.0, 5.0]), (WeatherQuantity.DewPointC, [2.59, 5.2]));
        Assert.Equal(60, whole[WeatherQuantity.HumidityPct][0], 0.2);
        Assert.Equal(100, whole[WeatherQuantity.HumidityPct][1]);
    }

    [Fact]
    public void Missing_gusts_come_from_the_stronger_end_of_the_hour_and_given_ones_are_at_least_the_wind()
    {
        HourlyWeather whole = Complete((WeatherQuantity.WindMPerS, [4.0, 2.0, 5.0, 5.0]), (WeatherQuantity.GustMPerS, [double.NaN, double.NaN, 3.0, 9.0]));
        double factor = 1 + (3 / Math.Log(10 / Site.RoughnessM));
        Assert.Equal([4 * factor, 4 * factor, 5, 9], whole[WeatherQuantity.GustMPerS].ToArray());
        Assert.Equal(WeatherOrigin.Derived, whole.OriginOf(WeatherQuantity.GustMPerS, 2));
        Assert.Equal(WeatherOrigin.Forecast, whole.OriginOf(WeatherQuantity.GustMPerS, 3));
    }

    /// <summary>[Haurwitz1945] at a zenith of 20° is 969.0 W/m² and [Kasten1980] passes 0.929 and 0.25 at half and full cover (facts table, computed with those formulas).</summary>
    [Theory]
    [InlineData(0.0, 1.0)]
    [InlineData(0.5, 0.929)]
    [InlineData(1.0, 0.25)]
    public void Radiation_is_derived_from_cloud_cover(double cloudFrac, double passFrac)
    {
        // From 11:00 to 12:00 UTC on 21 June the sun passes 24.2° from the zenith here: 1098 cos z exp(-0.059/cos z) is 938.7 there and little less around.
        HourlyWeather whole = Complete((WeatherQuantity.AirC, [20, 20]), (WeatherQuantity.CloudFrac, [cloudFrac, cloudFrac]));
        Assert.Equal(938.7 * passFrac, whole[WeatherQuantity.GlobalWPerM2][1], 4.0);
        Assert.Equal(WeatherOrigin.Derived, whole.OriginOf(WeatherQuantity.GlobalWPerM2, 1));
    }

    [Fact]
    public void Radiation_whose_parts_are_given_is_their_sum()
    {
        HourlyWeather whole = Complete((WeatherQuantity.DirectHorizontalWPerM2, [233.8]), (WeatherQuantity.DiffuseWPerM2, [84.5]), (WeatherQuantity.CloudFrac, [1.0]));
        Assert.Equal(318.3, whole[WeatherQuantity.GlobalWPerM2][0], 9);
    }

    [Fact]
    public void Soil_without_a_source_follows_air_and_sun_slowly_also_a_derived_sun()
    {
        double[] air = [.. Enumerable.Range(0, 240).Select(h => h < 120 ? 10.0 : 20.0)];
        HourlyWeather dark = Complete((WeatherQuantity.AirC, air), (WeatherQuantity.GlobalWPerM2, new double[240]));
        Assert.Equal(10, dark[WeatherQuantity.SoilDeepC][119], 9);

        // A first-order lag of five days reaches 1 - 1/e of a step after five days.
        Assert.Equal(10 + (10 * (1 - Math.Exp(-1))), dark[WeatherQuantity.SoilDeepC][239], 0.05);
        Assert.False(dark.Has(WeatherQuantity.SoilShallowC));

        HourlyWeather sunny = Complete((WeatherQuantity.AirC, air), (WeatherQuantity.CloudFrac, new double[240]));
        Assert.True(sunny[WeatherQuantity.SoilDeepC][239] > dark[WeatherQuantity.SoilDeepC][239] + 1);
        Assert.False(Complete((WeatherQuantity.AirC, air)).Has(WeatherQuantity.SoilDeepC));
    }

    [Fact]
    public void Nothing_given_is_changed_and_nothing_is_derived_from_a_gap()
    {
        Gen<double> value = Gen.OneOf(Gen.Double[0, 30], Gen.Const(double.NaN));
        Gen.Select(value.Array[12], value.Array[12], value.Array[12]).Sample((air, wind, cloud) =>
        {
            double[] cloudFrac = [.. cloud.Select(c => c / 30)];
            HourlyWeather before = Hours.Of(Noon, WeatherOrigin.Forecast, (WeatherQuantity.AirC, air), (WeatherQuantity.WindMPerS, wind), (WeatherQuantity.CloudFrac, cloudFrac));
            HourlyWeather after = WeatherCompletion.Complete(before, Site);
            for (int i = 0; i < 12; i++)
            {
                bool kept = after[WeatherQuantity.AirC][i].Equals(air[i]) && after[WeatherQuantity.WindMPerS][i].Equals(wind[i]);
                bool windKnown = !double.IsNaN(wind[i]) && (i == 0 || !double.IsNaN(wind[i - 1]));
                bool cloudKnown = !double.IsNaN(cloud[i]) && (i == 0 || !double.IsNaN(cloud[i - 1]));
                if (!kept || double.IsNaN(after[WeatherQuantity.GustMPerS][i]) == windKnown || double.IsNaN(after[WeatherQuantity.GlobalWPerM2][i]) == cloudKnown)
                {
                    return false;
                }
            }

            return !after.Has(WeatherQuantity.HumidityPct) && !after.Has(WeatherQuantity.DewPointC) && !after.Has(WeatherQuantity.PrecipitationMm);
        });
    }

    private static HourlyWeather Complete(params (WeatherQuantity Quantity, double[] Values)[] columns) =>
        WeatherCompletion.Complete(Hours.Of(Noon - Duration.FromHours(1), WeatherOrigin.Forecast, columns), Site);
}

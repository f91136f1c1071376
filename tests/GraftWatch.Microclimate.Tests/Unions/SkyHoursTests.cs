using GraftWatch.Microclimate.Longwave;
using GraftWatch.Microclimate.Radiation;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;
using NodaTime;
using Air = GraftWatch.Microclimate.Humidity.Humidity;

namespace GraftWatch.Microclimate.Tests.Unions;

public class SkyHoursTests
{
    private static readonly UnionExposure South = new() { AspectDeg = 180, HeightM = 1, DiameterM = 0.02 };

    [Fact]
    public void The_sun_is_that_of_the_middle_of_the_hour()
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear());
        for (int i = 0; i < sky.Hours; i++)
        {
            SunPosition middle = SunPosition.At(sky.Weather.EndOf(i) - Duration.FromMinutes(30), SpringDay.Place.LatitudeDeg, SpringDay.Place.LongitudeDeg);
            Assert.Equal(middle.ZenithDeg, sky.SunZenithDeg[i]);
            Assert.Equal(middle.AzimuthDeg, sky.SunAzimuthDeg[i]);
        }
    }

    [Fact]
    public void Instants_become_means_of_the_hour()
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear());
        ReadOnlySpan<double> air = sky.Weather[WeatherQuantity.AirC];
        Assert.Equal(0.5 * (air[10] + air[11]), sky.AirC[11], 12);
    }

    [Fact]
    public void A_null_radiation_at_night_is_not_a_gap_and_a_false_one_is_nothing()
    {
        HourlyWeather weather = SpringDay.Clear(b =>
        {
            b.Set(WeatherQuantity.GlobalWPerM2, 26, double.NaN, WeatherOrigin.Missing);
            b.Set(WeatherQuantity.GlobalWPerM2, 27, 3.2, WeatherOrigin.Measured);
        });
        SkyHours sky = SkyHours.Compute(SpringDay.Place, weather);
        Assert.False(sky.SunIsUp[26] || sky.SunIsUp[27]);
        Assert.Equal(0, sky.GlobalWPerM2[26]);
        Assert.Equal(0, sky.GlobalWPerM2[27]);
        UnionHours union = UnionClimate.Compute(sky, South);
        Assert.True(double.IsFinite(union.CambiumC[26]) && double.IsFinite(union.BudC[26]));
    }

    [Fact]
    public void A_missing_radiation_by_day_leaves_the_stem_unknown_and_the_next_hour_known()
    {
        HourlyWeather weather = SpringDay.Clear(b => b.Set(WeatherQuantity.GlobalWPerM2, 13, double.NaN, WeatherOrigin.Missing));
        SkyHours sky = SkyHours.Compute(SpringDay.Place, weather);
        UnionHours union = UnionClimate.Compute(sky, South);
        Assert.True(double.IsNaN(sky.GlobalWPerM2[13]) && double.IsNaN(sky.BeamNormalWPerM2[13]) && double.IsNaN(sky.CloudFrac[13]));
        Assert.True(double.IsNaN(union.CambiumC[13]) && double.IsNaN(union.BarkC[13]) && double.IsNaN(union.BudC[13]));
        Assert.True(double.IsNaN(union.VpdKPa[13]) && double.IsNaN(union.DryingIndex[13]) && double.IsNaN(union.BeamOnUnionWPerM2[13]));
        Assert.True(double.IsFinite(union.CambiumC[12]) && double.IsFinite(union.CambiumC[14]));
        Assert.Equal(WeatherOrigin.Missing, sky.GlobalOrigin[13]);
        Assert.Equal(WeatherOrigin.Missing, sky.CloudOrigin[13]);
    }

    [Fact]
    public void With_a_cloud_cover_a_missing_radiation_is_derived_and_marked()
    {
        HourlyWeather weather = SpringDay.Clear(b =>
        {
            b.Set(WeatherQuantity.GlobalWPerM2, 13, double.NaN, WeatherOrigin.Missing);
            b.Set(WeatherQuantity.CloudFrac, 12, 0.5, WeatherOrigin.Forecast);
            b.Set(WeatherQuantity.CloudFrac, 13, 0.7, WeatherOrigin.Forecast);
        });
        SkyHours sky = SkyHours.Compute(SpringDay.Place, weather);
        double expected = Sunlight.ClearGlobalWPerM2(Math.Cos(sky.SunZenithDeg[13] * Math.PI / 180)) * Sunlight.CloudPassFrac(0.6);
        Assert.Equal(expected, sky.GlobalWPerM2[13], 1e-9);
        Assert.Equal(WeatherOrigin.Derived, sky.GlobalOrigin[13]);
        Assert.Equal(WeatherOrigin.Forecast, sky.CloudOrigin[13]);
        Assert.True(double.IsFinite(UnionClimate.Compute(sky, South).CambiumC[13]));
    }

    [Fact]
    public void A_global_alone_is_split_by_the_model()
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear());
        BeamDiffuse parts = BeamDiffuse.Split(sky.GlobalWPerM2[13], sky.SunZenithDeg[13], sky.ExtraterrestrialNormalWPerM2[13]);
        Assert.Equal(parts.BeamNormalWPerM2, sky.BeamNormalWPerM2[13], 1e-9);
        Assert.Equal(WeatherOrigin.Derived, sky.BeamOrigin[13]);
    }

    [Fact]
    public void Given_parts_win_over_the_split_in_every_combination()
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear(b =>
        {
            b.Set(WeatherQuantity.DirectNormalWPerM2, 12, 500, WeatherOrigin.Forecast);
            b.Set(WeatherQuantity.DirectHorizontalWPerM2, 13, 300, WeatherOrigin.Forecast);
            b.Set(WeatherQuantity.DiffuseWPerM2, 14, 150, WeatherOrigin.Forecast);
            b.Set(WeatherQuantity.GlobalWPerM2, 15, double.NaN, WeatherOrigin.Missing);
            b.Set(WeatherQuantity.DirectHorizontalWPerM2, 15, 310, WeatherOrigin.Forecast);
            b.Set(WeatherQuantity.DiffuseWPerM2, 15, 160, WeatherOrigin.Forecast);
        }));
        double Cos(int i) => Math.Cos(sky.SunZenithDeg[i] * Math.PI / 180);
        Assert.Equal(500, sky.BeamNormalWPerM2[12], 1e-9);
        Assert.Equal(sky.GlobalWPerM2[12] - (500 * Cos(12)), sky.DiffuseWPerM2[12], 1e-9);
        Assert.Equal(300 / Cos(13), sky.BeamNormalWPerM2[13], 1e-9);
        Assert.Equal(150, sky.DiffuseWPerM2[14]);
        Assert.Equal((sky.GlobalWPerM2[14] - 150) / Cos(14), sky.BeamNormalWPerM2[14], 1e-9);
        Assert.Equal(470, sky.GlobalWPerM2[15], 1e-9);
        Assert.Equal(310 / Cos(15), sky.BeamNormalWPerM2[15], 1e-9);
        Assert.All([12, 13, 14, 15], i => Assert.Equal(WeatherOrigin.Forecast, sky.BeamOrigin[i]));
    }

    [Fact]
    public void Beam_and_diffuse_add_up_to_the_global_in_every_hour()
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear());
        for (int i = 0; i < sky.Hours; i++)
        {
            double sum = sky.DiffuseWPerM2[i] + (sky.BeamNormalWPerM2[i] * Math.Max(0, Math.Cos(sky.SunZenithDeg[i] * Math.PI / 180)));
            Assert.Equal(sky.GlobalWPerM2[i], sum, 1e-9);
        }
    }

    [Fact]
    public void A_hill_takes_the_beam_and_leaves_the_diffuse_light()
    {
        Site valley = SpringDay.Place with { HorizonDeg = [80] };
        SkyHours open = SkyHours.Compute(SpringDay.Place, SpringDay.Clear()), hidden = SkyHours.Compute(valley, SpringDay.Clear());
        Assert.True(open.BeamNormalWPerM2[13] > 500);
        Assert.All(hidden.BeamNormalWPerM2, b => Assert.Equal(0, b));
        Assert.Equal(open.DiffuseWPerM2, hidden.DiffuseWPerM2);
        Assert.True(UnionClimate.Compute(hidden, South).CambiumC[13] < UnionClimate.Compute(open, South).CambiumC[13] - 3);
    }

    [Fact]
    public void A_missing_dew_point_follows_from_relative_humidity_and_is_marked()
    {
        HourlyWeather weather = SpringDay.Clear(b => b.Set(WeatherQuantity.DewPointC, 13, double.NaN, WeatherOrigin.Missing)
            .Set(WeatherQuantity.HumidityPct, 12, 50, WeatherOrigin.Measured)
            .Set(WeatherQuantity.HumidityPct, 13, 50, WeatherOrigin.Measured));
        SkyHours sky = SkyHours.Compute(SpringDay.Place, weather);
        Assert.Equal(0.5 * Air.SaturationKPa(sky.AirC[13]), sky.VapourPressureKPa[13], 12);
        Assert.Equal(Air.DewPointC(0.5 * Air.SaturationKPa(sky.AirC[13])), sky.DewPointC[13], 12);
        Assert.Equal(WeatherOrigin.Derived, sky.DewPointOrigin[13]);
        Assert.Equal(WeatherOrigin.Measured, sky.DewPointOrigin[12]);

        // The instant at 13 belongs to the hour after as well, where no humidity stands in for it.
        Assert.True(double.IsNaN(sky.DewPointC[14]));
    }

    [Fact]
    public void Cloud_is_read_off_the_sun_by_day_and_carried_through_the_night()
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear());
        double clear = Sunlight.ClearGlobalWPerM2(Math.Cos(sky.SunZenithDeg[13] * Math.PI / 180));
        Assert.Equal(1 - Math.Min(1, sky.GlobalWPerM2[13] / clear), sky.CloudFrac[13], 12);
        Assert.All(sky.CloudFrac, c => Assert.InRange(c, 0, 1));
        Assert.All(sky.CloudOrigin, o => Assert.Equal(WeatherOrigin.Derived, o));
    }

    [Fact]
    public void A_given_skin_temperature_wins_over_the_estimate()
    {
        HourlyWeather weather = SpringDay.Clear(b => b.Set(WeatherQuantity.SkinC, 12, 40, WeatherOrigin.Forecast).Set(WeatherQuantity.SkinC, 13, 42, WeatherOrigin.Forecast));
        SkyHours sky = SkyHours.Compute(SpringDay.Place, weather);
        Assert.Equal(41, sky.GroundC[13], 12);
        Assert.Equal(WeatherOrigin.Forecast, sky.GroundOrigin[13]);
        Assert.Equal(ThermalSky.GroundC(sky.AirC[14], sky.GlobalWPerM2[14], sky.CloudFrac[14], sky.WindMPerS[14]), sky.GroundC[14]);
        Assert.Equal(WeatherOrigin.Derived, sky.GroundOrigin[14]);
    }

    [Fact]
    public void Without_wind_the_light_is_known_and_the_stem_is_not()
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear(b => b.Set(WeatherQuantity.WindMPerS, 13, double.NaN, WeatherOrigin.Missing)));
        UnionHours union = UnionClimate.Compute(sky, South);
        Assert.True(double.IsFinite(union.BeamOnUnionWPerM2[13]));
        Assert.True(double.IsNaN(union.CambiumC[13]) && double.IsNaN(union.WindMPerS[13]) && double.IsNaN(union.BudC[13]));
        Assert.True(double.IsNaN(union.CambiumC[14]), "the instant at 13 is half of the hour after");
        Assert.True(double.IsFinite(union.CambiumC[15]));
    }

    [Fact]
    public void Fresh_snow_brightens_the_ground_until_it_melts()
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear(b => b.Set(WeatherQuantity.SnowfallCm, 2, 7, WeatherOrigin.Forecast)));
        Assert.InRange(sky.GroundAlbedoFrac[3], 0.70, 0.75);
        Assert.Equal(0.20, SkyHours.Compute(SpringDay.Place, SpringDay.Clear()).GroundAlbedoFrac[3], 12);
        Assert.Equal(0.20, sky.GroundAlbedoFrac[^1], 12);
    }

    [Theory]
    [InlineData(90, 180)]
    [InlineData(-90, -180)]
    [InlineData(85, 0)]
    public void Poles_and_polar_days_give_numbers(double latitudeDeg, double longitudeDeg)
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place with { LatitudeDeg = latitudeDeg, LongitudeDeg = longitudeDeg }, SpringDay.Clear(b =>
        {
            for (int i = 0; i < 72; i++)
            {
                b.Set(WeatherQuantity.CloudFrac, i, 0.4, WeatherOrigin.Forecast);
            }
        }));
        Assert.All(UnionClimate.Compute(sky, South).CambiumC, c => Assert.True(double.IsFinite(c)));
        Assert.All(sky.SunIsUp, up => Assert.Equal(latitudeDeg > 0 || up, up));
        Assert.Equal(latitudeDeg > 0, sky.SunIsUp.Any(up => up));
    }

    [Fact]
    public void In_the_polar_night_no_cloud_is_invented()
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place with { LatitudeDeg = -90 }, SpringDay.Clear());
        Assert.All(sky.CloudFrac, c => Assert.True(double.IsNaN(c)));
        Assert.All(sky.GlobalWPerM2, g => Assert.Equal(0, g));
        Assert.All(UnionClimate.Compute(sky, South).CambiumC, c => Assert.True(double.IsNaN(c)));
    }

    [Fact]
    public void Places_outside_the_stated_ranges_are_refused_by_name()
    {
        ArgumentOutOfRangeException latitude = Assert.Throws<ArgumentOutOfRangeException>(
            () => SkyHours.Compute(SpringDay.Place with { LatitudeDeg = 91 }, SpringDay.Clear()));
        Assert.Contains("LatitudeDeg must be a number from -90 to 90", latitude.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => SkyHours.Compute(SpringDay.Place with { ElevationM = double.NaN }, SpringDay.Clear()));
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear());
        Assert.Throws<ArgumentOutOfRangeException>(() => UnionClimate.Compute(sky, South with { DiameterM = 0 }));
        Assert.Throws<ArgumentOutOfRangeException>(() => UnionClimate.Compute(sky, South with { AspectDeg = double.NaN }));
    }
}

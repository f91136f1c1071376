using CsCheck;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Microclimate.Wind;
using NodaTime;

namespace GraftWatch.Microclimate.Tests.Unions;

public class UnionClimateTests
{
    private const int Noon = 11;
    private static readonly UnionExposure South = new() { AspectDeg = 180, HeightM = 1, DiameterM = 0.02 };
    private static readonly SkyHours Sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear());

    private static readonly CoverLayer Foil = new() { Name = "foil", SolarAbsorptanceFrac = 0.15, EmissivityFrac = 0.05, GapResistanceM2KPerW = 0.03, VapourPassFrac = 0.6 };
    private static readonly CoverLayer ClearFilm = new() { Name = "film", SolarAbsorptanceFrac = 0.05, SolarTransmittanceFrac = 0.87, EmissivityFrac = 0.2, InfraredTransmittanceFrac = 0.7, GapResistanceM2KPerW = 0.015, VapourPassFrac = 0.05 };
    private static readonly CoverLayer PaddedPaper = new() { Name = "padded", SolarAbsorptanceFrac = 0.55, SolarTransmittanceFrac = 0.02, EmissivityFrac = 0.9, GapResistanceM2KPerW = 0.1, VapourPassFrac = 0.6 };

    private static CoverLayer Cloth(double shade) => new() { Name = "cloth", SolarAbsorptanceFrac = 0, EmissivityFrac = 0.9, ShadeFrac = shade };

    [Fact]
    public void The_south_side_is_warmer_than_the_stem_and_the_stem_than_the_north_side()
    {
        UnionHours south = UnionClimate.Compute(Sky, South), north = UnionClimate.Compute(Sky, South with { AspectDeg = 0 });
        Assert.True(south.CambiumC[Noon] > south.MeanStemC[Noon] + 2);
        Assert.True(south.MeanStemC[Noon] > north.CambiumC[Noon] + 0.5);
        Assert.Equal(south.MeanStemC[Noon], north.MeanStemC[Noon], 12);
        Assert.Equal(0, north.BeamOnUnionWPerM2[Noon]);

        Site mirrored = SpringDay.Place with { LatitudeDeg = -45 };
        SkyHours southern = SkyHours.Compute(mirrored, SpringDay.Clear());
        Assert.True(UnionClimate.Compute(southern, South with { AspectDeg = 0 }).CambiumC[Noon] > UnionClimate.Compute(southern, South).CambiumC[Noon] + 2);
    }

    [Fact]
    public void Opposite_seasons_on_opposite_hemispheres_feel_the_same()
    {
        // The equinox of 20 March 2026, 14:46 UTC, mirrored in the equator: the same sun but for 0.1° of declination through the day.
        var first = Instant.FromUtc(2026, 3, 20, 3, 0);
        HourlyWeather weather = Weather(first);
        SkyHours north = SkyHours.Compute(SpringDay.Place, weather), south = SkyHours.Compute(SpringDay.Place with { LatitudeDeg = -45 }, weather);
        UnionHours facingSouth = UnionClimate.Compute(north, South with { AspectDeg = 200 });
        UnionHours facingNorth = UnionClimate.Compute(south, South with { AspectDeg = 340 });
        for (int i = 1; i < 22; i++)
        {
            Assert.Equal(facingSouth.CambiumC[i], facingNorth.CambiumC[i], 0.15);
            Assert.Equal(facingSouth.BeamOnUnionWPerM2[i], facingNorth.BeamOnUnionWPerM2[i], 6.0);
        }

        static HourlyWeather Weather(Instant first)
        {
            var builder = new HourlyWeather.Builder(first, 24);
            for (int i = 0; i < 24; i++)
            {
                builder.Set(WeatherQuantity.AirC, i, 10, WeatherOrigin.Measured)
                    .Set(WeatherQuantity.DewPointC, i, 2, WeatherOrigin.Measured)
                    .Set(WeatherQuantity.WindMPerS, i, 2, WeatherOrigin.Measured)
                    .Set(WeatherQuantity.CloudFrac, i, 0.1, WeatherOrigin.Measured)
                    .Set(WeatherQuantity.DirectNormalWPerM2, i, 600, WeatherOrigin.Measured)
                    .Set(WeatherQuantity.DiffuseWPerM2, i, 80, WeatherOrigin.Measured)
                    .Set(WeatherQuantity.GlobalWPerM2, i, 300, WeatherOrigin.Measured);
            }

            return builder.Build();
        }
    }

    [Fact]
    public void Beam_on_the_union_is_the_beam_times_the_cosine_and_the_rest_is_sky_and_ground()
    {
        UnionHours union = UnionClimate.Compute(Sky, South);
        double zenith = Sky.SunZenithDeg[Noon] * Math.PI / 180, azimuth = Sky.SunAzimuthDeg[Noon] * Math.PI / 180;
        double cosine = Math.Sin(zenith) * Math.Cos(azimuth - Math.PI);
        Assert.Equal(Sky.BeamNormalWPerM2[Noon] * cosine, union.BeamOnUnionWPerM2[Noon], 1e-9);
        double index = Sky.BeamNormalWPerM2[Noon] / Sky.ExtraterrestrialNormalWPerM2[Noon];
        double sky = Sky.DiffuseWPerM2[Noon] * ((index * cosine / Math.Cos(zenith)) + ((1 - index) * 0.5));
        Assert.Equal(sky + (0.5 * 0.2 * Sky.GlobalWPerM2[Noon]), union.DiffuseOnUnionWPerM2[Noon], 1e-6);
    }

    [Fact]
    public void Covers_do_not_change_the_light_that_is_reported()
    {
        UnionHours bare = UnionClimate.Compute(Sky, South), covered = UnionClimate.Compute(Sky, South with { Covers = [Cloth(0.5), Foil] });
        Assert.Equal(bare.BeamOnUnionWPerM2, covered.BeamOnUnionWPerM2);
        Assert.Equal(bare.DiffuseOnUnionWPerM2, covered.DiffuseOnUnionWPerM2);
        Assert.Equal(bare.WindMPerS, covered.WindMPerS);
    }

    [Fact]
    public void Bare_bark_and_cambium_are_one_temperature_and_a_dark_cover_is_hotter_than_what_it_shades()
    {
        UnionHours bare = UnionClimate.Compute(Sky, South), padded = UnionClimate.Compute(Sky, South with { Covers = [PaddedPaper] });
        Assert.Equal(bare.BarkC[Noon], bare.CambiumC[Noon], 9);
        Assert.True(padded.BarkC[Noon] > padded.CambiumC[Noon] + 2);
    }

    [Fact]
    public void Layers_stack_film_under_foil_under_padded_paper()
    {
        double At(params CoverLayer[] covers) => UnionClimate.Compute(Sky, South with { Covers = covers }).CambiumC[Noon];
        Assert.True(At(ClearFilm) > At() + 1, "a clear film alone warms");
        Assert.True(At(Foil, ClearFilm) < At() - 3, "foil over it takes the sun away");
        Assert.True(At(PaddedPaper, Foil, ClearFilm) < At(), "padded paper outside");
        Assert.True(At(Cloth(0.7), ClearFilm) < At(ClearFilm) - 2, "shade over a film");
    }

    [Fact]
    public void More_shade_is_cooler_by_day_and_warmer_on_a_clear_night()
    {
        double[] shades = [0, 0.3, 0.5, 0.7];
        UnionHours[] unions = [.. shades.Select(s => UnionClimate.Compute(Sky, South with { Covers = s > 0 ? [Cloth(s)] : [] }))];
        const int night = 26;
        for (int i = 1; i < unions.Length; i++)
        {
            Assert.True(unions[i].CambiumC[Noon] < unions[i - 1].CambiumC[Noon]);
            Assert.True(unions[i].CambiumC[night] > unions[i - 1].CambiumC[night]);
            Assert.True(unions[i].BudC[night] > unions[i - 1].BudC[night]);
        }

        Assert.True(UnionClimate.Compute(Sky, South with { Covers = [Foil] }).CambiumC[night] > unions[^1].CambiumC[night]);
    }

    [Fact]
    public void Wraps_do_not_warm_the_bud_beside_them()
    {
        Assert.Equal(UnionClimate.Compute(Sky, South).BudC, UnionClimate.Compute(Sky, South with { Covers = [Foil, ClearFilm] }).BudC);
    }

    [Fact]
    public void Wind_follows_height_and_shelter()
    {
        Site sheltered = SpringDay.Place with { ShelterWindFrac = 0.4, RoughnessM = 0.1 };
        UnionHours union = UnionClimate.Compute(SkyHours.Compute(sheltered, SpringDay.Clear()), South);
        Assert.Equal(2 * 0.4 * WindProfile.Ratio(1, 0.1), union.WindMPerS[Noon], 12);

        // Log profile over short grass, regression of an independent script: 0.6036 at 1 m, 0.3964 at 0.3 m, 0.8807 at 5 m.
        Assert.Equal(0.6036, WindProfile.Ratio(1, 0.03), 0.0001);
        Assert.Equal(0.3964, WindProfile.Ratio(0.3, 0.03), 0.0001);
        Assert.Equal(0.8807, WindProfile.Ratio(5, 0.03), 0.0001);
    }

    [Fact]
    public void A_shower_cools_the_stem_in_that_hour()
    {
        SkyHours wet = SkyHours.Compute(SpringDay.Place, SpringDay.Clear(b => b.Set(WeatherQuantity.PrecipitationMm, Noon, 1.5, WeatherOrigin.Measured)));
        Assert.True(UnionClimate.Compute(wet, South).CambiumC[Noon] < UnionClimate.Compute(Sky, South).CambiumC[Noon] - 2);
    }

    [Fact]
    public void A_source_without_rain_counts_as_dry()
    {
        var builder = new double[Sky.Hours];
        Array.Fill(builder, double.NaN);
        SkyHours unknown = SkyHours.Compute(
            SpringDay.Place, SpringDay.Clear(b => b.SetColumn(WeatherQuantity.PrecipitationMm, builder, WeatherOrigin.Missing)));
        Assert.Equal(UnionClimate.Compute(Sky, South).CambiumC, UnionClimate.Compute(unknown, South).CambiumC);
    }

    [Fact]
    public void A_bud_falls_below_the_air_on_a_clear_night_and_not_far_below_the_dew_point()
    {
        UnionHours union = UnionClimate.Compute(Sky, South);
        for (int i = 22; i < 28; i++)
        {
            Assert.InRange(union.BudC[i] - Sky.AirC[i], -3, -0.2);
        }

        SkyHours humid = SkyHours.Compute(
            SpringDay.Place, SpringDay.Clear(b => b.Set(WeatherQuantity.DewPointC, 25, 5, WeatherOrigin.Measured).Set(WeatherQuantity.DewPointC, 26, 5, WeatherOrigin.Measured)));
        double airC = humid.AirC[26];
        Assert.True(airC < 5, "the hour of the check is near saturation");
        Assert.Equal(airC, UnionClimate.Compute(humid, South).BudC[26], 1.0);
    }

    [Fact]
    public void Dew_holds_a_bud_within_a_kelvin_of_the_dew_point()
    {
        HourlyWeather humid = SpringDay.Clear(b =>
        {
            for (int i = 0; i < 72; i++)
            {
                b.Set(WeatherQuantity.DewPointC, i, 9 - (6 * Math.Cos(2 * Math.PI * (i - 3) / 24)), WeatherOrigin.Measured)
                    .Set(WeatherQuantity.WindMPerS, i, 0.3, WeatherOrigin.Measured);
            }
        });
        SkyHours sky = SkyHours.Compute(SpringDay.Place, humid);
        UnionHours union = UnionClimate.Compute(sky, South);
        int held = 0;
        for (int i = 21; i < 28; i++)
        {
            Assert.True(union.BudC[i] >= sky.DewPointC[i] - 1 - 1e-9);
            held += Math.Abs(union.BudC[i] - (sky.DewPointC[i] - 1)) < 1e-9 ? 1 : 0;
        }

        Assert.True(held > 3, $"{held} hours at the limit; bud less air {union.BudC[25] - sky.AirC[25]}");
    }

    [Fact]
    public void The_frost_offset_of_a_place_counts_on_clear_calm_nights_only()
    {
        Site hollow = SpringDay.Place with { FrostOffsetK = -2 };
        UnionHours plain = UnionClimate.Compute(Sky, South), cold = UnionClimate.Compute(SkyHours.Compute(hollow, SpringDay.Clear(ForecastAir)), South);
        const int night = 26;
        double share = (1 - Sky.CloudFrac[night]) * 0.5;
        Assert.Equal(-2 * share, cold.BudC[night] - plain.BudC[night], 0.5 * share);
        Assert.Equal(plain.BudC[Noon], cold.BudC[Noon]);
        Assert.Equal(plain.CambiumC, cold.CambiumC);

        HourlyWeather windy = SpringDay.Clear(b =>
        {
            ForecastAir(b);
            for (int i = 0; i < 72; i++)
            {
                b.Set(WeatherQuantity.WindMPerS, i, 4, WeatherOrigin.Measured);
            }
        });
        Assert.Equal(
            UnionClimate.Compute(SkyHours.Compute(SpringDay.Place, windy), South).BudC,
            UnionClimate.Compute(SkyHours.Compute(hollow, windy), South).BudC);
    }

    [Fact]
    public void The_frost_offset_is_not_added_to_what_a_thermometer_at_the_place_measured()
    {
        Site hollow = SpringDay.Place with { FrostOffsetK = -2 };
        UnionHours measured = UnionClimate.Compute(SkyHours.Compute(hollow, SpringDay.Clear()), South);
        Assert.Equal(UnionClimate.Compute(Sky, South).BudC, measured.BudC);
    }

    private static void ForecastAir(HourlyWeather.Builder builder)
    {
        ReadOnlySpan<double> airC = SpringDay.Clear()[WeatherQuantity.AirC];
        builder.SetColumn(WeatherQuantity.AirC, airC, WeatherOrigin.Forecast);
    }

    [Fact]
    public void Drying_is_one_for_a_bare_cut_at_one_kilopascal_and_two_metres_a_second_and_shares_multiply_there()
    {
        var bare = new GraftWatch.Microclimate.Stem.DryingResistance(0.012, 1);
        var sealedCut = new GraftWatch.Microclimate.Stem.DryingResistance(0.012, 0.05 * 0.6);
        double convection = GraftWatch.Microclimate.Stem.Convection.CoefficientWPerM2K(2, 0.012, 20, 20);
        Assert.Equal(1, bare.Index(1, convection, 1209), 9);
        Assert.Equal(0.03, sealedCut.Index(1, convection, 1209), 9);
        Assert.Equal(2, bare.Index(2, convection, 1209), 9);
        Assert.True(double.IsNaN(bare.Index(double.NaN, convection, 1209)));
    }

    [Fact]
    public void An_open_sleeve_dries_more_than_a_closed_one_and_less_than_none()
    {
        UnionExposure unsealed = South with { SealPassFrac = 1 };
        double At(bool vented, params CoverLayer[] covers) => UnionClimate.Compute(Sky, unsealed with { Covers = covers, Vented = vented }).DryingIndex[26];
        Assert.True(At(false, ClearFilm) < At(true, ClearFilm));
        Assert.True(At(true, ClearFilm) < At(false));
    }

    [Fact]
    public void A_leaning_stem_shows_its_underside_to_the_ground()
    {
        UnionHours upright = UnionClimate.Compute(Sky, South), level = UnionClimate.Compute(Sky, South with { TiltDeg = 89.9 });
        Assert.True(level.BeamOnUnionWPerM2[Noon] < 0.05 * upright.BeamOnUnionWPerM2[Noon]);
        Assert.True(level.CambiumC[Noon] < upright.CambiumC[Noon]);
        UnionHours awayHalf = UnionClimate.Compute(Sky, South with { TiltDeg = 30 });
        Assert.InRange(awayHalf.BeamOnUnionWPerM2[Noon], 0, upright.BeamOnUnionWPerM2[Noon]);
    }

    [Fact]
    public void A_freezing_plateau_only_matters_below_zero()
    {
        UnionExposure wood = South with { DiameterM = 0.06, FreezableWaterKgPerM3 = 400 };
        double[] warm = UnionClimate.Compute(Sky, South with { DiameterM = 0.06 }).CambiumC, warmWood = UnionClimate.Compute(Sky, wood).CambiumC;
        Assert.All(Enumerable.Range(0, warm.Length), i => Assert.Equal(warm[i], warmWood[i], 9));

        HourlyWeather frosty = SpringDay.Clear(b =>
        {
            for (int i = 0; i < 72; i++)
            {
                b.Set(WeatherQuantity.AirC, i, i < 22 ? 3 : -5, WeatherOrigin.Measured).Set(WeatherQuantity.DewPointC, i, -8, WeatherOrigin.Measured);
            }
        });
        SkyHours sky = SkyHours.Compute(SpringDay.Place, frosty);
        double plain = UnionClimate.Compute(sky, wood with { FreezableWaterKgPerM3 = 0 }).MeanStemC[24];
        double held = UnionClimate.Compute(sky, wood).MeanStemC[24];
        Assert.Equal(-1, held, 0.2);
        Assert.True(plain < -4);
    }

    [Fact]
    public void Many_unions_at_once_are_what_they_are_alone_and_equal_ones_are_computed_once()
    {
        UnionExposure[] exposures = [South, South with { AspectDeg = 90 }, South with { Covers = [Foil] }, South with { HeightM = 2 }, South with { Covers = [] }];
        IReadOnlyList<UnionHours> together = UnionClimate.Compute(Sky, exposures);
        for (int i = 0; i < exposures.Length; i++)
        {
            UnionHours alone = UnionClimate.Compute(Sky, exposures[i]);
            Assert.Equal(alone.CambiumC, together[i].CambiumC);
            Assert.Equal(alone.BudC, together[i].BudC);
            Assert.Equal(alone.DryingIndex, together[i].DryingIndex);
        }

        Assert.Same(together[0], together[4]);
        Assert.Same(together[0].BudC, together[2].BudC);
        Assert.NotSame(together[0].BudC, together[3].BudC);
    }

    [Fact]
    public void A_row_for_a_table_has_the_bud_by_night_only()
    {
        UnionHours union = UnionClimate.Compute(Sky, South);
        UnionHour noon = UnionHour.Of(Sky, union, Noon), night = UnionHour.Of(Sky, union, 26);
        Assert.True(double.IsNaN(noon.TissueNightC));
        Assert.Equal(union.BudC[26], night.TissueNightC);
        Assert.Equal(90 - Sky.SunZenithDeg[Noon], noon.SunAltitudeDeg);
        Assert.Equal(union.CambiumC[Noon], noon.CambiumC);
    }

    [Fact]
    public void No_hour_allocates() =>
        Assert.Equal(Allocated(24), Allocated(72), 400.0);

    [Fact]
    public void Any_weather_gives_numbers_within_reason() =>
        Gen.Select(
                Gen.Select(Gen.Double[-30, 45], Gen.Double[-40, 30], Gen.Double[0, 25]),
                Gen.Select(Gen.Double[0, 1.15], Gen.Double[0, 1], Gen.Double[-65, 70]),
                Gen.Select(Gen.Double[0, 360], Gen.Double[0, 90], Gen.Double[0.003, 0.3]))
            .Sample((air, light, stem) =>
            {
                (double airC, double dewPointC, double windMPerS) = air;
                (double clearShare, double cloud, double latitudeDeg) = light;
                (double aspectDeg, double tiltDeg, double diameterM) = stem;
                var first = Instant.FromUtc(2026, 7, 1, 0, 0);
                var builder = new HourlyWeather.Builder(first, 24);
                for (int i = 0; i < 24; i++)
                {
                    SunPosition sun = SunPosition.At(first + Duration.FromMinutes((60 * i) - 30), latitudeDeg, 0);
                    double global = clearShare * Sunlight.ClearGlobalWPerM2(Math.Cos(sun.ZenithDeg * Math.PI / 180));
                    builder.Set(WeatherQuantity.AirC, i, airC, WeatherOrigin.Measured)
                        .Set(WeatherQuantity.DewPointC, i, Math.Min(airC, dewPointC), WeatherOrigin.Measured)
                        .Set(WeatherQuantity.WindMPerS, i, windMPerS, WeatherOrigin.Measured)
                        .Set(WeatherQuantity.CloudFrac, i, cloud, WeatherOrigin.Measured)
                        .Set(WeatherQuantity.GlobalWPerM2, i, global, WeatherOrigin.Measured);
                }

                SkyHours sky = SkyHours.Compute(SpringDay.Place with { LatitudeDeg = latitudeDeg }, builder.Build());
                UnionHours union = UnionClimate.Compute(sky, new UnionExposure { AspectDeg = aspectDeg, TiltDeg = tiltDeg, HeightM = 1, DiameterM = diameterM, Covers = [ClearFilm] });
                for (int i = 0; i < 24; i++)
                {
                    Assert.InRange(union.CambiumC[i] - airC, -15, 80);
                    Assert.InRange(union.BudC[i] - airC, -8, 30);
                    Assert.InRange(union.VpdKPa[i], 0, 100);
                    Assert.InRange(union.BeamOnUnionWPerM2[i], 0, 1450);
                    Assert.InRange(union.DiffuseOnUnionWPerM2[i], 0, 900);
                }
            },
            iter: 300);

    private static double Allocated(int hours)
    {
        SkyHours sky = SkyHours.Compute(SpringDay.Place, SpringDay.Clear());
        var room = new UnionHours(sky.Hours);
        UnionClimateSteps.Fill(sky, South, room);
        long before = GC.GetAllocatedBytesForCurrentThread();
        for (int repeat = 0; repeat < hours / 24; repeat++)
        {
            UnionClimateSteps.Fill(sky, South, room);
        }

        return (GC.GetAllocatedBytesForCurrentThread() - before) / (double)(hours / 24);
    }
}

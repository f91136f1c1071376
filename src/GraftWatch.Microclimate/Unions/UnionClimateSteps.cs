using GraftWatch.Microclimate.Radiation;
using GraftWatch.Microclimate.Stem;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Microclimate.Wind;

namespace GraftWatch.Microclimate.Unions;

/// <summary>The steps of <see cref="UnionClimate"/>: everything that does not change with the hour once, then hour by hour.</summary>
/// <remarks>
/// An hour lacks a stem temperature when air, wind, humidity, cloud or radiation is missing. Missing rain counts as dry, which
/// errs on the warm side. Reading the deficit at the cambium treats bark and cambium as one temperature.
/// </remarks>
internal static class UnionClimateSteps
{
    /// <summary>Rain in an hour that wets the outermost surface. [mm]</summary>
    private const double WettingMm = 0.1;

    private const double DryAirJPerKgK = 1013;
    private const double GasJPerKgK = 287.05;

    /// <summary>Everything but the bud.</summary>
    internal static void Fill(SkyHours sky, UnionExposure exposure, UnionHours hours)
    {
        RequireRanges(exposure);
        StemGeometry geometry = StemGeometry.Of(exposure.TiltDeg, exposure.AspectDeg, exposure.AspectDeg);
        ShadeCloth cloth = ShadeCloth.Of(exposure.Covers);
        StemBalance balance = BalanceOf(exposure);
        var drying = new DryingResistance(exposure.DiameterM, PassFracOf(exposure));
        double windRatio = WindProfile.Ratio(exposure.HeightM, sky.Site.RoughnessM) * sky.Site.ShelterWindFrac;
        ReadOnlySpan<double> rainMm = sky.Weather[WeatherQuantity.PrecipitationMm];
        StemMemory memory = StemMemory.None;
        for (int i = 0; i < sky.Hours; i++)
        {
            double windMPerS = sky.WindMPerS[i] * windRatio;
            hours.WindMPerS[i] = windMPerS;
            (StemConditions met, double beam, double diffuse) = Meet(sky, geometry, cloth, i, windMPerS * cloth.WindFrac, rainMm[i] >= WettingMm);
            hours.BeamOnUnionWPerM2[i] = beam;
            hours.DiffuseOnUnionWPerM2[i] = diffuse;
            StemTemperatures stem = balance.Solve(met, ref memory);
            hours.BarkC[i] = stem.OuterPatchC;
            hours.CambiumC[i] = stem.PatchC;
            hours.MeanStemC[i] = stem.MeanC;
            double deficitKPa = Humidity.Humidity.DeficitKPa(stem.PatchC, sky.VapourPressureKPa[i]);
            hours.VpdKPa[i] = deficitKPa;
            double airHeat = DryAirJPerKgK * 1000 * sky.PressureKPa[i] / (GasJPerKgK * (sky.AirC[i] + 273.15));
            hours.DryingIndex[i] = drying.Index(deficitKPa, stem.ConvectionWPerM2K, airHeat);
        }
    }

    private static void RequireRanges(UnionExposure exposure)
    {
        Require.Within(exposure.AspectDeg, 0, 360);
        Require.Within(exposure.TiltDeg, 0, 90);
        Require.Within(exposure.HeightM, 0.02, 15);
        Require.Within(exposure.DiameterM, 0.002, 0.6);
        Require.Within(exposure.BarkSolarAbsorptanceFrac, 0, 1);
        Require.Within(exposure.BarkEmissivityFrac, 0.03, 1);
        Require.Within(exposure.SealPassFrac, 0, 1);
        Require.Within(exposure.FreezableWaterKgPerM3, 0, 1000);
        foreach (CoverLayer layer in exposure.Covers)
        {
            Require.Within(layer.SolarAbsorptanceFrac, 0, 1);
            Require.Within(layer.SolarTransmittanceFrac, 0, 1 - layer.SolarAbsorptanceFrac + 1e-9);
            Require.Within(layer.EmissivityFrac, 0.03, 1);
            Require.Within(layer.InfraredTransmittanceFrac, 0, 1 - layer.EmissivityFrac + 1e-9);
            Require.Within(layer.GapResistanceM2KPerW, 0, 10);
            Require.Within(layer.AddedDiameterM, 0, 0.2);
            Require.Within(layer.VapourPassFrac, 0, 1);
            Require.Within(layer.ShadeFrac, 0, 1);
        }
    }

    private static StemBalance BalanceOf(UnionExposure exposure)
    {
        var layers = new List<StemLayer>(exposure.Covers.Count);
        double addedM = 0;
        foreach (CoverLayer cover in exposure.Covers)
        {
            if (cover.ShadeFrac > 0)
            {
                continue;
            }

            layers.Add(new StemLayer(
                cover.SolarAbsorptanceFrac,
                cover.SolarTransmittanceFrac,
                cover.EmissivityFrac,
                cover.InfraredTransmittanceFrac,
                cover.GapResistanceM2KPerW));
            addedM += cover.AddedDiameterM;
        }

        var covers = new StemCovers(
            layers.ToArray(), exposure.BarkSolarAbsorptanceFrac, exposure.BarkEmissivityFrac, exposure.Vented);
        return new StemBalance(exposure.DiameterM, addedM, covers, freezableWaterKgPerM3: exposure.FreezableWaterKgPerM3);
    }

    private static double PassFracOf(UnionExposure exposure)
    {
        double pass = exposure.SealPassFrac;
        foreach (CoverLayer cover in exposure.Covers)
        {
            if (cover.ShadeFrac <= 0)
            {
                pass *= exposure.Vented
                    ? cover.VapourPassFrac + (DryingResistance.VentedFrac * (1 - cover.VapourPassFrac))
                    : cover.VapourPassFrac;
            }
        }

        return pass;
    }

    private static (StemConditions Met, double BeamWPerM2, double DiffuseWPerM2) Meet(
        SkyHours sky, in StemGeometry geometry, in ShadeCloth cloth, int i, double windMPerS, bool wet)
    {
        double east = sky.SunEast[i], north = sky.SunNorth[i], up = sky.SunUp[i];
        double beamNormal = sky.BeamNormalWPerM2[i];
        double circumsolar = sky.CircumsolarNormalWPerM2[i];
        double isotropic = sky.IsotropicDiffuseWPerM2[i];
        double ground = sky.GroundLightWPerM2[i];
        double across = geometry.SinAxisToSun(east, north, up);
        double cosIncidence = geometry.CosIncidence(east, north, up);
        double lit = Math.Max(0, cosIncidence);
        double skyView = 0.5 * (1 + geometry.NormalUp);
        double lean = 0.5 * geometry.NormalUp;

        double black = sky.BlackBodyAirWPerM2[i];
        double skyInfrared = (cloth.SkyFrac * sky.SkyLongwaveWPerM2[i]) + ((1 - cloth.SkyFrac) * black);
        double groundInfrared = sky.GroundLongwaveWPerM2[i];
        double longwave = (0.5 * (skyInfrared + groundInfrared)) + (cloth.SkyFrac * sky.LowSkyWPerM2[i]);
        var met = new StemConditions(
            sky.AirC[i],
            windMPerS,
            cloth.LightFrac * (beamNormal + circumsolar) * across,
            across > 0 ? Math.Clamp(cosIncidence / across, -1, 1) : 0,
            cloth.LightFrac * 0.5 * (isotropic + ground),
            cloth.LightFrac * lean * (isotropic - ground),
            longwave - black,
            lean * (skyInfrared - groundInfrared),
            wet ? sky.VapourPressureKPa[i] : double.NaN,
            Humidity.Humidity.PsychrometricConstantKPaPerK(sky.PressureKPa[i]));
        return (met, beamNormal * lit, (circumsolar * lit) + (isotropic * skyView) + (ground * (1 - skyView)));
    }
}

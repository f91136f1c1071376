using GraftWatch.Microclimate.Stem;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Microclimate.Wind;

namespace GraftWatch.Microclimate.Unions;

/// <summary>Temperature of a small bud or green shoot beside the union, for frost.</summary>
/// <remarks>
/// A bare upright cylinder of 6 mm in equilibrium (its time constant is about a minute), outside the wraps but under a shade
/// cloth. It does not fall more than 1 K below the dew point, where condensing water gives its heat back. On clear calm nights
/// the air around it is the forecast's plus the place's own frost offset, which fades to nothing under full cloud and at 3 m/s.
/// An hour whose air temperature was measured at the place gets no offset.
/// </remarks>
internal static class BudSteps
{
    private const double DiameterM = 0.006;
    private const double EmissivityFrac = 0.95;

    /// <summary>Sunlight a green bud absorbs. [-] [Monteith2008] ch. 6, leaves about 0.5.</summary>
    private const double AbsorptanceFrac = 0.5;

    private const double BelowDewPointK = 1;

    internal static void Fill(SkyHours sky, BudExposure bud, double[] budC)
    {
        ShadeCloth cloth = bud.Cloth;
        double windRatio = WindProfile.Ratio(bud.HeightM, sky.Site.RoughnessM) * sky.Site.ShelterWindFrac;
        var balance = new StemBalance(DiameterM, 0, new StemCovers([], AbsorptanceFrac, EmissivityFrac, false), heatCapacityJPerM3K: 0);
        StemMemory memory = StemMemory.None;
        for (int i = 0; i < budC.Length; i++)
        {
            double airC = sky.AirC[i] + OffsetK(sky, i);
            double black = Longwave.ThermalSky.BlackBodyWPerM2(airC);
            double skyInfrared = (cloth.SkyFrac * sky.SkyLongwaveWPerM2[i]) + ((1 - cloth.SkyFrac) * black);
            double longwave = (0.5 * (skyInfrared + sky.GroundLongwaveWPerM2[i])) + (cloth.SkyFrac * sky.LowSkyWPerM2[i]);
            double sinZenith = Math.Sqrt(Math.Max(0, 1 - (sky.SunUp[i] * sky.SunUp[i])));
            var met = new StemConditions(
                airC,
                sky.WindMPerS[i] * windRatio * cloth.WindFrac,
                cloth.LightFrac * (sky.BeamNormalWPerM2[i] + sky.CircumsolarNormalWPerM2[i]) * sinZenith,
                0,
                cloth.LightFrac * 0.5 * (sky.IsotropicDiffuseWPerM2[i] + sky.GroundLightWPerM2[i]),
                0,
                longwave - black,
                0,
                double.NaN,
                double.NaN);
            double freeC = balance.Solve(met, ref memory).MeanC;
            budC[i] = Math.Max(freeC, Math.Min(airC, sky.DewPointC[i] - BelowDewPointK));
        }
    }

    private static double OffsetK(SkyHours sky, int i)
    {
        // A thermometer at the place has the offset in its reading.
        if (sky.Site.FrostOffsetK == 0 || sky.SunIsUp[i] || sky.Weather.OriginOf(WeatherQuantity.AirC, i) == WeatherOrigin.Measured)
        {
            return 0;
        }

        return sky.Site.FrostOffsetK * (1 - sky.CloudFrac[i]) * Math.Clamp((3 - sky.WindMPerS[i]) / 2, 0, 1);
    }
}

/// <summary>What of an exposure a bud beside the union feels.</summary>
/// <param name="HeightM">Height above the ground. [m]</param>
/// <param name="Cloth">Shade cloths over it.</param>
internal readonly record struct BudExposure(double HeightM, ShadeCloth Cloth)
{
    internal static BudExposure Of(UnionExposure exposure) => new(exposure.HeightM, ShadeCloth.Of(exposure.Covers));
}

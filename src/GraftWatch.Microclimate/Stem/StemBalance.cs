using GraftWatch.Microclimate.Longwave;

namespace GraftWatch.Microclimate.Stem;

/// <summary>Energy balance of one stem under its covers: convection, radiation, wetness, conduction around the stem, heat stored in it.</summary>
/// <remarks>
/// Mode 0 (the mean around the stem) is C dT/dt = absorbed - coefficient·(T - air), solved exactly over the hour for constant
/// input; higher modes settle within minutes and are steady. Time constants are 1 to 20 minutes for stems of 5 to 40 mm.
/// Realistic accuracy on the sunny side is ±3 K [Potter2002]; the absorptance of the bark is the largest unknown.
/// </remarks>
public sealed class StemBalance
{
    /// <summary>Heat is water vapour's as well, 0.93 the ratio of their boundary-layer resistances. [-] [Monteith2008] ch. 10.</summary>
    public const double VapourResistanceRatio = 0.93;

    private const double HourS = 3600;
    private const double ToleranceK = 1e-3;

    private readonly StemCovers stack;
    private readonly ConvectionKernel convection;
    private readonly double conductanceWPerM2K;
    private readonly double storageJPerM2K;
    private readonly int terms;

    /// <summary>Prepares a stem.</summary>
    /// <param name="diameterM">Diameter of the stem itself. [m], 0.002 to 0.6.</param>
    /// <param name="addedDiameterM">What the covers add to it. [m]</param>
    /// <param name="stack">Covers and bark.</param>
    /// <param name="conductivityWPerMK">Conductivity of the wood. [W/mK]</param>
    /// <param name="heatCapacityJPerM3K">Heat capacity of the wood; 0 for no lag. [J/m³K]</param>
    /// <param name="enhancement">Outdoor enhancement of convection. [-]</param>
    /// <param name="terms">Even terms of the cosine series. [-]</param>
    public StemBalance(
        double diameterM,
        double addedDiameterM,
        StemCovers stack,
        double conductivityWPerMK = WoodProperties.GreenConductivityWPerMK,
        double heatCapacityJPerM3K = WoodProperties.GreenHeatCapacityJPerM3K,
        double enhancement = Convection.OutdoorEnhancement,
        int terms = CosineSeries.Terms)
    {
        this.stack = stack;
        this.terms = terms;
        convection = new ConvectionKernel(diameterM + addedDiameterM, enhancement);
        conductanceWPerM2K = conductivityWPerMK / (0.5 * diameterM);
        storageJPerM2K = 0.25 * heatCapacityJPerM3K * diameterM;
    }

    /// <summary>Temperatures of one hour.</summary>
    /// <param name="hour">What the hour does to the stem.</param>
    /// <param name="memory">The hour before; receives this one. A NaN hour forgets the past.</param>
    public StemTemperatures Solve(in StemConditions hour, ref StemMemory memory)
    {
        double windMPerS = Math.Max(Convection.CalmMPerS, hour.WindMPerS);
        double lightWPerM2 = (hour.BeamAcrossWPerM2 * (1 / Math.PI)) + hour.DiffuseWPerM2;
        Settled settled = Settle(hour, windMPerS, lightWPerM2, memory.GuessK);
        double coefficient = settled.Response.CoefficientWPerM2K;

        double equilibriumC = hour.AirC + settled.BarkExcessK;
        double meanC = equilibriumC;
        double endC = equilibriumC;
        if (storageJPerM2K > 0 && double.IsFinite(memory.EndC))
        {
            double decay = HourS * coefficient / storageJPerM2K;
            double left = Math.Exp(-decay);
            double startK = memory.EndC - equilibriumC;
            meanC = equilibriumC + (startK * (1 - left) / decay);
            endC = equilibriumC + (startK * left);
        }

        memory.EndC = endC;
        memory.GuessK = double.IsFinite(settled.OuterExcessK) ? settled.OuterExcessK : 0;
        return Around(hour, settled, meanC, equilibriumC);
    }

    private StemTemperatures Around(in StemConditions hour, in Settled settled, double meanC, double equilibriumC)
    {
        StackResponse response = settled.Response;
        double coefficient = response.CoefficientWPerM2K;
        double patchC = meanC;
        if (hour.BeamAcrossWPerM2 != 0)
        {
            patchC += response.Solar * hour.BeamAcrossWPerM2
                * CosineSeries.DeviationKPerWPerM2(hour.CosFromSun, coefficient, conductanceWPerM2K, terms);
        }

        patchC += ((response.Solar * hour.DiffuseLeanWPerM2) + (response.Infrared * hour.LongwaveLeanWPerM2))
            / (coefficient + conductanceWPerM2K);
        double lightHereWPerM2 = (hour.BeamAcrossWPerM2 * Math.Max(0, hour.CosFromSun)) + hour.DiffuseWPerM2 + hour.DiffuseLeanWPerM2;
        double outerPatchC = hour.AirC
            + (response.OuterSolar * lightHereWPerM2)
            + (response.OuterInfrared * (hour.LongwaveNetWPerM2 + hour.LongwaveLeanWPerM2))
            + (response.OuterOuter * settled.EvaporationWPerM2)
            + (response.OuterOfBark * (patchC - hour.AirC));
        return new StemTemperatures(
            meanC,
            patchC,
            outerPatchC,
            equilibriumC,
            hour.AirC + settled.OuterExcessK,
            settled.ConvectionWPerM2K,
            settled.RadiationWPerM2K,
            coefficient);
    }

    /// <summary>Finds the excess of the outermost surface that agrees with its own coefficients: fixed point, sped up by Aitken's rule.</summary>
    private Settled Settle(in StemConditions hour, double windMPerS, double lightWPerM2, double guessK)
    {
        double first = guessK;
        Settled settled = default;
        for (int round = 0; round < 12; round++)
        {
            settled = Step(hour, windMPerS, lightWPerM2, first);
            double second = settled.OuterExcessK;
            if (!(Math.Abs(second - first) > ToleranceK))
            {
                break;
            }

            settled = Step(hour, windMPerS, lightWPerM2, second);
            double third = settled.OuterExcessK;
            double change = third - second;
            if (!(Math.Abs(change) > ToleranceK))
            {
                break;
            }

            double curve = change - (second - first);
            first = Math.Abs(curve) > 1e-12 ? third - (change * change / curve) : third;
        }

        return settled;
    }

    private Settled Step(in StemConditions hour, double windMPerS, double lightWPerM2, double outerExcessK)
    {
        double convected = convection.CoefficientWPerM2K(windMPerS, hour.AirC, outerExcessK);
        double airK = hour.AirC + ThermalSky.ZeroCelsiusK;
        double outerK = airK + outerExcessK;
        double radiated = ThermalSky.StefanBoltzmann * ((outerK * outerK) + (airK * airK)) * (outerK + airK);
        double evaporated = 0;
        double source = 0;
        if (!double.IsNaN(hour.WetVapourPressureKPa))
        {
            double perKPa = convected / (VapourResistanceRatio * hour.PsychrometricKPaPerK);
            evaporated = perKPa * Humidity.Humidity.SlopeKPaPerK(hour.AirC + (0.5 * outerExcessK));
            source = -perKPa * (Humidity.Humidity.SaturationKPa(hour.AirC) - hour.WetVapourPressureKPa);
        }

        StackResponse response = stack.Eliminate(convected, radiated, evaporated);
        double bark = ((response.Solar * lightWPerM2) + (response.Infrared * hour.LongwaveNetWPerM2) + (response.Outer * source))
            / response.CoefficientWPerM2K;
        double outer = (response.OuterSolar * lightWPerM2) + (response.OuterInfrared * hour.LongwaveNetWPerM2)
            + (response.OuterOuter * source) + (response.OuterOfBark * bark);
        return new Settled(response, bark, outer, source, convected, radiated);
    }

    private readonly record struct Settled(
        StackResponse Response,
        double BarkExcessK,
        double OuterExcessK,
        double EvaporationWPerM2,
        double ConvectionWPerM2K,
        double RadiationWPerM2K);
}

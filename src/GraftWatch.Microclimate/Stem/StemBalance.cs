using GraftWatch.Microclimate.Longwave;

namespace GraftWatch.Microclimate.Stem;

/// <summary>Energy balance of one stem under its covers: convection, radiation, wetness, conduction around the stem, heat stored in it.</summary>
/// <remarks>
/// The mean around the stem, the deviation once around it and the even ones go through the hour each with its own time constant,
/// <see cref="HeatStore"/>. Those are 1 to 20 minutes for stems of 5 to 40 mm.
/// Realistic accuracy on the sunny side is ±3 K [Potter2002]; the absorptance of the bark is the largest unknown.
/// </remarks>
public sealed class StemBalance
{
    /// <summary>Heat is water vapour's as well, 0.93 the ratio of their boundary-layer resistances. [-] [Monteith2008] ch. 10.</summary>
    public const double VapourResistanceRatio = 0.93;

    /// <summary>Found minus tried excess at which the search ends; what is left of it in the result is smaller by the answer, about a tenth. [K]</summary>
    private const double ToleranceK = 4e-3;

    private readonly StemCovers covers;
    private readonly ConvectionKernel convection;
    private readonly double conductanceWPerM2K;
    private readonly HeatStore store;
    private readonly int terms;

    /// <summary>Prepares a stem.</summary>
    /// <param name="diameterM">Diameter of the stem itself. [m], 0.002 to 0.6.</param>
    /// <param name="addedDiameterM">What the covers add to it. [m]</param>
    /// <param name="covers">Covers and bark.</param>
    /// <param name="conductivityWPerMK">Conductivity of the wood. [W/mK]</param>
    /// <param name="heatCapacityJPerM3K">Heat capacity of the wood; 0 for no lag. [J/m³K]</param>
    /// <param name="enhancement">Outdoor enhancement of convection. [-]</param>
    /// <param name="terms">Even terms of the cosine series. [-]</param>
    /// <param name="freezableWaterKgPerM3">Water that freezes near -1 °C; 0 leaves the plateau out. [kg/m³]</param>
    public StemBalance(
        double diameterM,
        double addedDiameterM,
        StemCovers covers,
        double conductivityWPerMK = WoodProperties.GreenConductivityWPerMK,
        double heatCapacityJPerM3K = WoodProperties.GreenHeatCapacityJPerM3K,
        double enhancement = Convection.OutdoorEnhancement,
        int terms = CosineSeries.Terms,
        double freezableWaterKgPerM3 = 0)
    {
        this.covers = covers;
        this.terms = terms;
        convection = new ConvectionKernel(diameterM + addedDiameterM, enhancement);
        conductanceWPerM2K = conductivityWPerMK / (0.5 * diameterM);
        store = new HeatStore(diameterM, heatCapacityJPerM3K, freezableWaterKgPerM3);
    }

    /// <summary>Temperatures of one hour.</summary>
    /// <param name="hour">What the hour does to the stem.</param>
    /// <param name="memory">The hour before; receives this one. A NaN hour forgets the past.</param>
    public StemTemperatures Solve(in StemConditions hour, ref StemMemory memory)
    {
        double windMPerS = Math.Max(Convection.CalmMPerS, hour.WindMPerS);
        double lightWPerM2 = (hour.BeamAcrossWPerM2 * (1 / Math.PI)) + hour.DiffuseWPerM2;
        Settled settled = Settle(hour, windMPerS, lightWPerM2, ref memory);
        double equilibriumC = hour.AirC + settled.BarkExcessK;
        double meanC = store.Advance(equilibriumC, settled.Response.CoefficientWPerM2K, ref memory);
        return Around(hour, settled, meanC, equilibriumC, ref memory);
    }

    private StemTemperatures Around(in StemConditions hour, in Settled settled, double meanC, double equilibriumC, ref StemMemory memory)
    {
        StackResponse response = settled.Response;
        double coefficient = response.CoefficientWPerM2K;
        double absorbed = response.Solar * hour.BeamAcrossWPerM2;
        double firstK = absorbed * CosineSeries.FirstKPerWPerM2(hour.CosFromSun, coefficient, conductanceWPerM2K);
        firstK += ((response.Solar * hour.DiffuseLeanWPerM2) + (response.Infrared * hour.LongwaveLeanWPerM2))
            / (coefficient + conductanceWPerM2K);
        double evenK = hour.BeamAcrossWPerM2 == 0
            ? 0
            : absorbed * CosineSeries.EvenKPerWPerM2(hour.CosFromSun, coefficient, conductanceWPerM2K, terms);
        (firstK, memory.FirstK) = HeatStore.Follow(memory.FirstK, firstK, store.TimeConstantS(1, coefficient, conductanceWPerM2K));
        (evenK, memory.EvenK) = HeatStore.Follow(memory.EvenK, evenK, store.TimeConstantS(2, coefficient, conductanceWPerM2K));
        double patchC = meanC + firstK + evenK;
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

    /// <summary>Finds the excess of the outermost surface that agrees with its own coefficients, by the secant rule.</summary>
    /// <remarks>It starts from the coefficients of the hour before, convection scaled by the root of the wind: mostly two evaluations do.</remarks>
    private Settled Settle(in StemConditions hour, double windMPerS, double lightWPerM2, ref StemMemory memory)
    {
        double answer = memory.Answer;
        double tried = memory.ConvectionWPerM2K > 0
            ? Linear(hour, lightWPerM2, memory.ConvectionWPerM2K * Math.Sqrt(windMPerS / memory.WindMPerS), memory.RadiationWPerM2K, 0).OuterExcessK
            : 0;
        Settled settled = Step(hour, windMPerS, lightWPerM2, tried);
        for (int round = 0; round < 20; round++)
        {
            double found = settled.OuterExcessK;
            if (!(Math.Abs(found - tried) > ToleranceK))
            {
                break;
            }

            double next = tried + ((found - tried) / (1 - answer));
            settled = Step(hour, windMPerS, lightWPerM2, next);
            answer = Math.Clamp((settled.OuterExcessK - found) / (next - tried), -0.9, 0.5);
            tried = next;
        }

        bool known = double.IsFinite(settled.OuterExcessK);
        memory.ConvectionWPerM2K = known ? settled.ConvectionWPerM2K : 0;
        memory.RadiationWPerM2K = settled.RadiationWPerM2K;
        memory.WindMPerS = windMPerS;
        memory.Answer = known ? answer : 0;
        return settled;
    }

    private Settled Step(in StemConditions hour, double windMPerS, double lightWPerM2, double outerExcessK)
    {
        double airK = hour.AirC + ThermalSky.ZeroCelsiusK;
        double outerK = airK + outerExcessK;
        return Linear(
            hour,
            lightWPerM2,
            convection.CoefficientWPerM2K(windMPerS, hour.AirC, outerExcessK),
            ThermalSky.StefanBoltzmann * ((outerK * outerK) + (airK * airK)) * (outerK + airK),
            outerExcessK);
    }

    /// <summary>The balance for given coefficients.</summary>
    private Settled Linear(in StemConditions hour, double lightWPerM2, double convected, double radiated, double outerExcessK)
    {
        double evaporated = 0;
        double source = 0;
        if (!double.IsNaN(hour.WetVapourPressureKPa))
        {
            double perKPa = convected / (VapourResistanceRatio * hour.PsychrometricKPaPerK);
            evaporated = perKPa * Humidity.Humidity.SlopeKPaPerK(hour.AirC + (0.5 * outerExcessK));
            source = -perKPa * (Humidity.Humidity.SaturationKPa(hour.AirC) - hour.WetVapourPressureKPa);
        }

        StackResponse response = covers.Eliminate(convected, radiated, evaporated);
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

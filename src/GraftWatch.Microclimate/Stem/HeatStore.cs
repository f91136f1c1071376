namespace GraftWatch.Microclimate.Stem;

/// <summary>Heat held by a stem: sensible, and on request the latent heat of its water, which holds it near -1 °C while it freezes or thaws.</summary>
/// <remarks>
/// Per unit of lateral area C dT/dt = coefficient·(Te - T) is solved exactly for an hour of constant input. With freezable water
/// the mean temperature stays at <see cref="FreezingC"/> [Derby1966] until all of it has changed; supercooling is ignored.
/// </remarks>
public readonly struct HeatStore
{
    /// <summary>Temperature at which the sap of a stem freezes. [°C] [Derby1966]</summary>
    public const double FreezingC = -1;

    private const double FusionJPerKg = 334e3;
    private const double HourS = 3600;

    private readonly double sensibleJPerM2K;
    private readonly double latentJPerM2;

    /// <summary>Prepares a store.</summary>
    /// <param name="diameterM">Diameter. [m]</param>
    /// <param name="heatCapacityJPerM3K">Heat capacity; 0 follows every hour at once. [J/m³K]</param>
    /// <param name="freezableWaterKgPerM3">Water that freezes; 0 leaves the plateau out, green wood holds 300 to 450. [kg/m³]</param>
    public HeatStore(double diameterM, double heatCapacityJPerM3K, double freezableWaterKgPerM3 = 0)
    {
        sensibleJPerM2K = 0.25 * diameterM * heatCapacityJPerM3K;
        latentJPerM2 = 0.25 * diameterM * freezableWaterKgPerM3 * FusionJPerKg;
    }

    /// <summary>Goes through one hour.</summary>
    /// <param name="equilibriumC">Temperature the hour tends to. [°C]</param>
    /// <param name="coefficientWPerM2K">Coefficient to the surroundings. [W/m²K], above 0.</param>
    /// <param name="memory">The end of the hour before; receives the end of this one. NaN forgets the past.</param>
    /// <returns>Mean of the hour. [°C]</returns>
    public double Advance(double equilibriumC, double coefficientWPerM2K, ref StemMemory memory)
    {
        if (!(sensibleJPerM2K > 0) || !double.IsFinite(memory.EndC) || !double.IsFinite(equilibriumC))
        {
            memory.EndC = equilibriumC;
            memory.FrozenFrac = latentJPerM2 > 0 && equilibriumC < FreezingC ? 1 : 0;
            return equilibriumC;
        }

        if (latentJPerM2 > 0)
        {
            return AdvanceWithIce(equilibriumC, coefficientWPerM2K, ref memory);
        }

        (double meanC, memory.EndC) = Relax(memory.EndC, equilibriumC, HourS * coefficientWPerM2K / sensibleJPerM2K);
        return meanC;
    }

    /// <summary>Time constant of the deviation that goes n times around the stem, its shape inside taken as the steady one.</summary>
    /// <param name="mode">Times around, 0 for the mean. [-]</param>
    /// <param name="coefficientWPerM2K">Coefficient to the surroundings. [W/m²K]</param>
    /// <param name="conductanceWPerM2K">Conductivity over radius. [W/m²K]</param>
    /// <returns>Time. [s]</returns>
    internal double TimeConstantS(int mode, double coefficientWPerM2K, double conductanceWPerM2K) =>
        2 * sensibleJPerM2K / ((mode + 2) * (coefficientWPerM2K + (mode * conductanceWPerM2K)));

    /// <summary>Carries a deviation through one hour.</summary>
    /// <param name="startK">End of the hour before; NaN starts in equilibrium. [K]</param>
    /// <param name="equilibriumK">What it tends to. [K]</param>
    /// <param name="timeConstantS">Time constant. [s]; 0 follows at once.</param>
    /// <returns>Mean and end of the hour. [K]</returns>
    internal static (double MeanK, double EndK) Follow(double startK, double equilibriumK, double timeConstantS) =>
        timeConstantS > 0 && double.IsFinite(startK) && double.IsFinite(equilibriumK)
            ? Relax(startK, equilibriumK, HourS / timeConstantS)
            : (equilibriumK, equilibriumK);

    private static (double Mean, double End) Relax(double start, double equilibrium, double decay)
    {
        double left = Math.Exp(-decay);
        double away = start - equilibrium;
        return (equilibrium + (away * (1 - left) / decay), equilibrium + (away * left));
    }

    private double AdvanceWithIce(double equilibriumC, double coefficientWPerM2K, ref StemMemory memory)
    {
        double timeConstantS = sensibleJPerM2K / coefficientWPerM2K;
        double fluxWPerM2 = coefficientWPerM2K * (equilibriumC - FreezingC);
        double temperatureC = memory.EndC;
        double leftS = HourS;
        double degreeSeconds = 0;

        // At most: to the plateau, along it, and away from it.
        for (int phase = 0; phase < 3 && leftS > 0; phase++)
        {
            bool freezes = fluxWPerM2 < 0 && memory.FrozenFrac < 1 && temperatureC >= FreezingC;
            bool thaws = fluxWPerM2 > 0 && memory.FrozenFrac > 0 && temperatureC <= FreezingC;
            double stepS = leftS;
            if (temperatureC == FreezingC && (freezes || thaws))
            {
                double toChange = freezes ? 1 - memory.FrozenFrac : memory.FrozenFrac;
                double neededS = toChange * latentJPerM2 / Math.Abs(fluxWPerM2);
                stepS = Math.Min(leftS, neededS);
                memory.FrozenFrac = neededS <= leftS
                    ? (freezes ? 1 : 0)
                    : memory.FrozenFrac - (fluxWPerM2 * stepS / latentJPerM2);
                degreeSeconds += FreezingC * stepS;
            }
            else
            {
                bool reaches = false;
                if (freezes || thaws)
                {
                    double arrivalS = timeConstantS * Math.Log((temperatureC - equilibriumC) / (FreezingC - equilibriumC));
                    reaches = arrivalS <= leftS;
                    stepS = Math.Min(leftS, arrivalS);
                }

                double left = Math.Exp(-stepS / timeConstantS);
                double startK = temperatureC - equilibriumC;
                degreeSeconds += (equilibriumC * stepS) + (startK * timeConstantS * (1 - left));
                temperatureC = reaches ? FreezingC : equilibriumC + (startK * left);
            }

            leftS -= stepS;
        }

        memory.EndC = temperatureC;
        return degreeSeconds / HourS;
    }
}

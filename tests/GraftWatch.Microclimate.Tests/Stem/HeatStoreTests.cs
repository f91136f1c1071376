using CsCheck;
using GraftWatch.Microclimate.Stem;

namespace GraftWatch.Microclimate.Tests.Stem;

public class HeatStoreTests
{
    [Fact]
    public void A_twenty_millimetre_stem_closes_three_quarters_of_a_step_in_ten_minutes()
    {
        // Regression of an independent script: D 20 mm, 2.5 MJ/m³K, 28 W/m²K: 446.4 s, 600 s close 73.92 %. An hour is six of those steps.
        var store = new HeatStore(0.020, 2.5e6);
        StemMemory memory = StemMemory.None with { EndC = 0 };
        store.Advance(10, 28, ref memory);
        Assert.Equal(10 * (1 - Math.Pow(1 - 0.7392, 6)), memory.EndC, 0.002);
        Assert.Equal(446.4, 0.25 * 0.020 * 2.5e6 / 28, 0.05);
    }

    [Theory]
    [InlineData(0.005, 52.7, 55, 8)]
    [InlineData(0.010, 38.4, 150, 30)]
    [InlineData(0.020, 28.7, 401, 104)]
    [InlineData(0.040, 22.0, 1048, 345)]
    public void Time_constants_are_minutes(double diameterM, double coefficient, double meanS, double firstS)
    {
        // Regression of an independent script at 1 m/s, 2.3 MJ/m³K, 0.45 W/mK; the coefficients are rounded, hence 3 %.
        var store = new HeatStore(diameterM, 2.3e6);
        double conductance = 0.45 / (diameterM / 2);
        Assert.Equal(meanS, store.TimeConstantS(0, coefficient, conductance), 0.03 * meanS);
        Assert.Equal(firstS, store.TimeConstantS(1, coefficient, conductance), 0.05 * firstS);
    }

    [Fact]
    public void Stored_heat_is_what_came_in_less_what_went_out() =>
        Gen.Select(Gen.Double[0.003, 0.3], Gen.Double[5, 90], Gen.Double[-20, 30], Gen.Double[-20, 40]).Sample(
            (diameterM, coefficient, startC, equilibriumC) =>
            {
                StemMemory memory = StemMemory.None with { EndC = startC };
                double meanC = new HeatStore(diameterM, 2.3e6).Advance(equilibriumC, coefficient, ref memory);
                double stored = 0.25 * diameterM * 2.3e6 * (memory.EndC - startC);
                double exchanged = 3600 * coefficient * (equilibriumC - meanC);
                return Math.Abs(stored - exchanged) < 1e-9 * (1 + Math.Abs(stored) + (3600 * coefficient));
            });

    [Fact]
    public void With_ice_the_heat_closes_too() =>
        Gen.Select(Gen.Double[0.003, 0.3], Gen.Double[5, 90], Gen.Double[-10, 10], Gen.Double[-15, 15], Gen.Double[0, 1]).Sample(
            (diameterM, coefficient, startC, equilibriumC, part) =>
            {
                double frozen = startC < HeatStore.FreezingC ? 1 : startC > HeatStore.FreezingC ? 0 : part;
                StemMemory memory = StemMemory.None with { EndC = startC, FrozenFrac = frozen };
                double meanC = new HeatStore(diameterM, 2.3e6, 400).Advance(equilibriumC, coefficient, ref memory);
                double stored = (0.25 * diameterM * 2.3e6 * (memory.EndC - startC)) - (0.25 * diameterM * 400 * 334e3 * (memory.FrozenFrac - frozen));
                double exchanged = 3600 * coefficient * (equilibriumC - meanC);
                return Math.Abs(stored - exchanged) < 1e-8 * (1 + Math.Abs(stored) + (3600 * coefficient));
            });

    [Fact]
    public void The_plateau_agrees_with_small_steps_of_the_enthalpy() =>
        Gen.Select(Gen.Double[0.01, 0.1], Gen.Double[8, 60], Gen.Double[-0.5, 8], Gen.Double[-15, -2]).Sample(
            (diameterM, coefficient, startC, equilibriumC) =>
            {
                var store = new HeatStore(diameterM, 2.3e6, 400);
                StemMemory memory = StemMemory.None with { EndC = startC };
                double capacity = 0.25 * diameterM * 2.3e6, latent = 0.25 * diameterM * 400 * 334e3;
                double enthalpy = capacity * (startC - HeatStore.FreezingC);
                for (int hour = 0; hour < 6; hour++)
                {
                    double mean = 0;
                    const int steps = 20_000;
                    for (int i = 0; i < steps; i++)
                    {
                        double t = enthalpy > 0 ? HeatStore.FreezingC + (enthalpy / capacity)
                            : enthalpy > -latent ? HeatStore.FreezingC
                            : HeatStore.FreezingC + ((enthalpy + latent) / capacity);
                        mean += t / steps;
                        enthalpy += 3600.0 / steps * coefficient * (equilibriumC - t);
                    }

                    Assert.Equal(mean, store.Advance(equilibriumC, coefficient, ref memory), 0.01);
                    Assert.Equal(Math.Clamp(-enthalpy / latent, 0, 1), memory.FrozenFrac, 0.002);
                }
            },
            iter: 20);

    [Fact]
    public void A_freezing_stem_stays_near_minus_one_and_thaws_the_same_way()
    {
        var store = new HeatStore(0.04, 2.3e6, 400);
        StemMemory memory = StemMemory.None with { EndC = 2 };
        store.Advance(-6, 20, ref memory);
        Assert.Equal(HeatStore.FreezingC, memory.EndC);
        Assert.InRange(memory.FrozenFrac, 0.1, 0.9);
        double frozen = memory.FrozenFrac;
        store.Advance(4, 20, ref memory);
        Assert.True(memory.FrozenFrac < frozen);
    }

    [Fact]
    public void Without_a_past_the_stem_starts_in_equilibrium_and_a_gap_forgets_the_past()
    {
        var store = new HeatStore(0.02, 2.3e6);
        StemMemory memory = StemMemory.None;
        Assert.Equal(7, store.Advance(7, 25, ref memory));
        Assert.True(double.IsNaN(store.Advance(double.NaN, 25, ref memory)));
        Assert.Equal(3, store.Advance(3, 25, ref memory));
    }
}

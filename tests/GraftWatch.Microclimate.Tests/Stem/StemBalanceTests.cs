using GraftWatch.Microclimate.Longwave;
using GraftWatch.Microclimate.Stem;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Stem;

public class StemBalanceTests
{
    [Fact]
    public void Temperature_around_a_stem_keeps_its_values_and_meets_the_finite_volumes()
    {
        foreach (VectorRow row in VectorFile.Load("Stem/cosine-series.csv").Rows)
        {
            double h = row["hWPerM2K"], conductance = row["kWPerMK"] / row["radiusM"];
            double mean = 600 / (Math.PI * h);
            double At(double angleDeg) =>
                mean + (600 * CosineSeries.DeviationKPerWPerM2(Math.Cos(angleDeg * Math.PI / 180), h, conductance, 200));
            row.Check("mean", mean);
            row.Check("at0", At(0));
            row.Check("at45", At(45));
            row.Check("at90", At(90));
            row.Check("at135", At(135));
            row.Check("at180", At(180));
            row.Check("volume0", At(0));
            row.Check("volume180", At(180));
            for (double angleDeg = 0; angleDeg <= 180; angleDeg += 5)
            {
                double few = mean + (600 * CosineSeries.DeviationKPerWPerM2(Math.Cos(angleDeg * Math.PI / 180), h, conductance));
                Assert.Equal(At(angleDeg), few, 0.03);
            }
        }
    }

    [Fact]
    public void Covered_stems_keep_their_values()
    {
        foreach (VectorRow row in VectorFile.Load("Stem/two-node.csv").Rows)
        {
            var covers = new StemCovers([row["coverFrac"], row["barkFrac"]], [0, 0], [row["gapWPerM2K"]]);
            StackResponse response = covers.Eliminate(row["outerWPerM2K"], 0, 0);
            double conductance = 0.45 / 0.010;
            double light = 600 / Math.PI;
            double bark = response.Solar * light / response.CoefficientWPerM2K;
            double Bark(double cosFromSun) => bark
                + (response.Solar * 600 * CosineSeries.DeviationKPerWPerM2(cosFromSun, response.CoefficientWPerM2K, conductance, 200));
            row.Check("barkMeanK", bark);
            row.Check("coverMeanK", (response.OuterSolar * light) + (response.OuterOfBark * bark));
            row.Check("barkSunK", Bark(1));
            row.Check("barkShadeK", Bark(-1));
            row.Check("coverSunK", (response.OuterSolar * 600) + (response.OuterOfBark * Bark(1)));
        }
    }

    [Fact]
    public void Whole_hours_keep_their_values()
    {
        foreach (VectorRow row in VectorFile.Load("Stem/single-hours.csv").Rows)
        {
            StemTemperatures At(double angleDeg)
            {
                var balance = new StemBalance(
                    row["diameterM"],
                    0,
                    new StemCovers([], row["absorptanceFrac"], row["emissivityFrac"], false),
                    heatCapacityJPerM3K: 0,
                    enhancement: row["enhancement"],
                    terms: 200);
                StemMemory memory = StemMemory.None;
                return balance.Solve(Hour(row, angleDeg), ref memory);
            }

            StemTemperatures stem = At(0);
            row.Check("convectionWPerM2K", stem.ConvectionWPerM2K);
            row.Check("radiationWPerM2K", row["emissivityFrac"] * stem.RadiationWPerM2K);
            row.Check("meanC", stem.MeanC);
            row.Check("at0C", stem.PatchC);
            row.Check("at45C", At(45).PatchC);
            row.Check("at90C", At(90).PatchC);
            row.Check("at180C", At(180).PatchC);
        }
    }

    [Fact]
    public void Trunks_in_a_clear_february_are_as_warm_as_measured_ones()
    {
        // [Frecon2010]: 29.2 °C dark and 11.1 °C white in 3.9 °C air; diameter, wind and sky assumed, so a plausibility band only.
        IReadOnlyList<VectorRow> rows = VectorFile.Load("Stem/single-hours.csv").Rows;
        Assert.InRange(Sunny(rows[4]), 24, 36);
        Assert.InRange(Sunny(rows[5]), 8, 14);

        static double Sunny(VectorRow row)
        {
            var balance = new StemBalance(row["diameterM"], 0, new StemCovers([], row["absorptanceFrac"], row["emissivityFrac"], false));
            StemMemory memory = StemMemory.None;
            return balance.Solve(Hour(row, 0), ref memory).PatchC;
        }
    }

    [Fact]
    public void Specific_heat_of_wood_is_that_of_the_handbook()
    {
        foreach (VectorRow row in VectorFile.Load("Stem/wood.csv").Rows)
        {
            row.Check("specificKJPerKgK", WoodProperties.SpecificHeatKJPerKgK(row["temperatureK"], row["moisturePct"]));
        }

        // [MacLean1941] for green wood of specific gravity 0.55 at 80 % moisture, computed by hand.
        Assert.Equal(0.363, WoodProperties.ConductivityWPerMK(0.55, 80), 0.001);
    }

    private static StemConditions Hour(VectorRow row, double angleDeg) => new(
        row["airC"],
        row["windMPerS"],
        row["beamWPerM2"] * Math.Sin(row["zenithDeg"] * Math.PI / 180),
        Math.Cos(angleDeg * Math.PI / 180),
        (0.5 * row["diffuseWPerM2"]) + (0.5 * 0.2 * row["globalWPerM2"]),
        0,
        row["longwaveWPerM2"] - ThermalSky.BlackBodyWPerM2(row["airC"]),
        0,
        double.NaN,
        double.NaN);
}

using CsCheck;
using GraftWatch.Microclimate.Longwave;
using GraftWatch.Microclimate.Stem;

namespace GraftWatch.Microclimate.Tests.Stem;

public class StemPropertyTests
{
    private static readonly StemLayer Foil = new(0.15, 0, 0.05, 0, 0.03);
    private static readonly StemLayer OldFoil = new(0.25, 0, 0.10, 0, 0.03);
    private static readonly StemLayer Paper = new(0.24, 0.12, 0.92, 0, 0.03);
    private static readonly StemLayer PaddedBrown = new(0.55, 0.02, 0.90, 0, 0.10);
    private static readonly StemLayer PaddedWhite = new(0.25, 0.05, 0.90, 0, 0.10);
    private static readonly StemLayer Bubble = new(0.08, 0.75, 0.90, 0, 0.10);
    private static readonly StemLayer StretchFilm = new(0.05, 0.85, 0.93, 0, 0);

    private static readonly StemConditions Sunny = new(10, 1, 600, 1, 90, 0, -45, 0, double.NaN, double.NaN);
    private static readonly StemConditions ClearNight = new(0, 0.5, 0, 0, 0, 0, -55, 0, double.NaN, double.NaN);

    private static readonly Gen<StemLayer> Layers = Gen.Select(Gen.Double[0.01, 1], Gen.Double[0, 1], Gen.Double[0.03, 1], Gen.Double[0, 1], Gen.Double[0, 0.2])
        .Select((a, t, e, i, gap) => new StemLayer(a, t * (1 - a), e, i * (1 - e), gap));

    [Fact]
    public void The_series_equals_a_finite_volume_solve_of_the_disc() =>
        Gen.Select(Gen.Double[0.003, 0.06], Gen.Double[0.2, 0.8], Gen.Double[6, 60]).Sample(
            (radiusM, kWPerMK, hWPerM2K) =>
            {
                const double peak = 600;
                double[] surface = new FiniteVolumes(radiusM, kWPerMK, hWPerM2K).Surface(a => peak * Math.Max(0, Math.Cos(a)));
                double mean = peak / (Math.PI * hWPerM2K);
                for (int s = 0; s < surface.Length; s++)
                {
                    double exact = mean + (peak * CosineSeries.DeviationKPerWPerM2(
                        Math.Cos(2 * Math.PI * s / surface.Length), hWPerM2K, kWPerMK / radiusM, 200));
                    Assert.Equal(exact, surface[s], 0.002 * peak / hWPerM2K);
                }
            },
            iter: 12,
            threads: 1);

    [Fact]
    public void Endless_conduction_gives_the_mean_everywhere() =>
        Gen.Select(Gen.Double[-1, 1], Gen.Double[5, 60]).Sample((cosine, h) =>
            Math.Abs(CosineSeries.DeviationKPerWPerM2(cosine, h, 1e9, 50)) < 1e-8);

    [Fact]
    public void No_conduction_gives_the_flat_plate() =>
        Gen.Select(Gen.Double[-1, 1], Gen.Double[5, 60]).Sample((cosine, h) =>
        {
            double plate = Math.Max(0, cosine) / h;
            double series = (1 / (Math.PI * h)) + CosineSeries.DeviationKPerWPerM2(cosine, h, 0, 20_000);
            return Math.Abs(plate - series) < 1e-4 / h;
        });

    [Fact]
    public void The_mean_of_the_deviation_around_the_stem_is_nothing() =>
        Gen.Select(Gen.Double[5, 60], Gen.Double[1, 300]).Sample((h, conductance) =>
        {
            double sum = 0;
            for (int i = 0; i < 720; i++)
            {
                sum += CosineSeries.DeviationKPerWPerM2(Math.Cos(Math.PI * i / 360), h, conductance);
            }

            return Math.Abs(sum / 720) < 1e-12;
        });

    [Fact]
    public void Absorbed_and_reflected_light_add_up_through_any_stack() =>
        Gen.Select(Layers.Array[0, 5], Gen.Double[0, 1]).Sample((layers, bark) =>
        {
            var covers = new StemCovers(layers, bark, 0.95, false);
            double absorbed = 0;
            foreach (double share in covers.SolarShares)
            {
                Assert.InRange(share, 0, 1 + 1e-9);
                absorbed += share;
            }

            return Math.Abs(absorbed + Reflected(layers, bark) - 1) < 1e-9;
        });

    [Fact]
    public void Energy_closes_to_one_part_in_a_billion() =>
        Gen.Select(
                Gen.Select(Layers.Array[0, 4], Gen.Double[0, 1], Gen.Double[0.03, 1]),
                Gen.Select(Gen.Double[5, 90], Gen.Double[3, 7], Gen.Double[0, 40]),
                Gen.Select(Gen.Double[0, 900], Gen.Double[-120, 20], Gen.Double[-80, 0]))
            .Sample((stem, coefficients, input) =>
            {
                (StemLayer[] layers, double bark, double emissivity) = stem;
                (double convection, double radiation, double evaporation) = coefficients;
                (double light, double infrared, double source) = input;
                var covers = new StemCovers(layers, bark, emissivity, false);
                StackResponse response = covers.Eliminate(convection, radiation, evaporation);
                double[] excess = Nodes(covers, layers, convection, radiation, evaporation, light, infrared, source);

                double barkK = ((response.Solar * light) + (response.Infrared * infrared) + (response.Outer * source)) / response.CoefficientWPerM2K;
                double outerK = (response.OuterSolar * light) + (response.OuterInfrared * infrared) + (response.OuterOuter * source)
                    + (response.OuterOfBark * barkK);
                double gained = source, lost = (convection + evaporation) * outerK;
                for (int i = 0; i < excess.Length; i++)
                {
                    gained += (covers.SolarShares[i] * light) + (covers.InfraredShares[i] * infrared);
                    lost += radiation * covers.InfraredShares[i] * (i == 0 ? outerK : i == excess.Length - 1 ? barkK : excess[i]);
                }

                double scale = light + Math.Abs(infrared) + Math.Abs(source) + 1;
                return Math.Abs(gained - lost) < 1e-9 * scale
                    && Math.Abs(excess[0] - outerK) < 1e-7 * (1 + Math.Abs(outerK))
                    && Math.Abs(excess[^1] - barkK) < 1e-7 * (1 + Math.Abs(barkK));
            });

    [Fact]
    public void The_search_finds_what_plain_repetition_finds() =>
        Gen.Select(
                Gen.Select(Gen.Double[0, 8], Gen.Double[-25, 40], Gen.Double[0.004, 0.2]),
                Gen.Select(Gen.Double[0, 900], Gen.Double[0, 200], Gen.Double[-110, 10]),
                Layers.Array[0, 3])
            .Sample((air, input, layers) =>
            {
                (double windMPerS, double airC, double diameterM) = air;
                (double beam, double diffuse, double infrared) = input;
                var covers = new StemCovers(layers, 0.8, 0.95, false);
                var balance = new StemBalance(diameterM, 0.003, covers, heatCapacityJPerM3K: 0);
                var hour = new StemConditions(airC, windMPerS, beam, 1, diffuse, 0, infrared, 0, double.NaN, double.NaN);
                StemMemory memory = StemMemory.None;
                double cold = balance.Solve(hour, ref memory).MeanC;
                double warm = balance.Solve(hour, ref memory).MeanC;

                double outerK = 0, barkK = 0;
                for (int round = 0; round < 400; round++)
                {
                    double convection = Convection.CoefficientWPerM2K(windMPerS, diameterM + 0.003, airC + outerK, airC);
                    double airK = airC + 273.15, surfaceK = airK + outerK;
                    double radiation = ThermalSky.StefanBoltzmann * ((airK * airK) + (surfaceK * surfaceK)) * (airK + surfaceK);
                    StackResponse response = covers.Eliminate(convection, radiation, 0);
                    double light = (beam / Math.PI) + diffuse;
                    barkK = ((response.Solar * light) + (response.Infrared * infrared)) / response.CoefficientWPerM2K;
                    double found = (response.OuterSolar * light) + (response.OuterInfrared * infrared) + (response.OuterOfBark * barkK);
                    outerK += 0.5 * (found - outerK);
                }

                return Math.Abs(cold - airC - barkK) < 0.01 && Math.Abs(warm - airC - barkK) < 0.01;
            });

    [Fact]
    public void In_the_sun_covers_order_from_clear_plastic_down_to_foil()
    {
        double Mean(double bark, params ReadOnlySpan<StemLayer> layers) => All(Sunny, 0.02, new StemCovers(layers, bark, 0.95, false)).MeanC;
        double[] warmest =
        [
            Mean(0.8, Bubble), Mean(0.8), Mean(0.8, StretchFilm), Mean(0.8, PaddedBrown),
            Mean(0.55), Mean(0.8, Paper), Mean(0.8, OldFoil), Mean(0.8, Foil),
        ];
        Assert.Equal(warmest.OrderDescending(), warmest);
        Assert.Equal(Mean(0.8, Paper), Mean(0.8, PaddedWhite), 0.6);
        Assert.Equal(Mean(0.25), Mean(0.8, Foil), 1.0);
        Assert.True(Mean(0.25) < Mean(0.8, OldFoil));
    }

    [Fact]
    public void Two_perfect_mirrors_keep_all_light_out()
    {
        var covers = new StemCovers([new StemLayer(0, 0, 0.05, 0, 0.03)], 0, 0.95, false);
        Assert.Equal(0, covers.SolarShares[0]);
        Assert.Equal(0, covers.SolarShares[1]);
    }

    [Fact]
    public void On_a_clear_night_only_foil_keeps_a_stem_near_the_air()
    {
        double foil = Patch(ClearNight, 0.8, Foil);
        Assert.Equal(0, foil, 0.2);
        foreach (StemLayer layer in new[] { Paper, PaddedBrown, PaddedWhite, Bubble, StretchFilm })
        {
            Assert.True(Patch(ClearNight, 0.8, layer) < foil - 0.5);
        }

        // [Sharpe1991]: no wrap but a metallic one raised night minima.
        Assert.Equal(Patch(ClearNight, 0.8), Patch(ClearNight, 0.8, PaddedBrown), 0.3);
    }

    [Fact]
    public void More_wind_brings_a_stem_nearer_to_the_air() =>
        Gen.Select(Gen.Double[0.2, 8], Gen.Double[0.1, 3], Gen.Double[0.004, 0.2], Gen.Bool).Sample((windMPerS, more, diameterM, night) =>
        {
            StemConditions hour = (night ? ClearNight : Sunny) with { WindMPerS = windMPerS };
            return Excess(hour with { WindMPerS = windMPerS + more }, diameterM, 0.8) < Excess(hour, diameterM, 0.8) + 1e-3;
        });

    [Fact]
    public void A_thicker_stem_departs_more_from_the_air() =>
        Gen.Select(Gen.Double[0.2, 8], Gen.Double[0.004, 0.2], Gen.Double[1.05, 3], Gen.Bool).Sample((windMPerS, diameterM, thicker, night) =>
        {
            StemConditions hour = (night ? ClearNight : Sunny) with { WindMPerS = windMPerS };
            return Excess(hour, diameterM * thicker, 0.8) > Excess(hour, diameterM, 0.8) - 1e-3;
        });

    [Fact]
    public void Darker_bark_is_warmer_in_the_sun() =>
        Gen.Select(Gen.Double[0.2, 8], Gen.Double[0.004, 0.2], Gen.Double[0, 0.9], Gen.Double[0.01, 0.1]).Sample((windMPerS, diameterM, bark, darker) =>
        {
            StemConditions hour = Sunny with { WindMPerS = windMPerS };
            return Patch(hour, bark + darker, diameterM) > Patch(hour, bark, diameterM);
        });

    [Fact]
    public void An_open_cover_is_cooler_in_the_sun_than_a_closed_one()
    {
        foreach (StemLayer layer in new[] { Bubble, Paper, PaddedBrown, Foil })
        {
            Assert.True(Solve(Sunny, 0.02, new StemCovers([layer], 0.8, 0.95, true)) < Solve(Sunny, 0.02, new StemCovers([layer], 0.8, 0.95, false)));
        }
    }

    [Fact]
    public void A_wet_stem_is_cooler_and_not_below_the_wet_bulb_when_nothing_radiates()
    {
        const double vapourKPa = 0.9;
        var dry = new StemConditions(15, 2, 0, 0, 0, 0, 0, 0, double.NaN, double.NaN);
        StemConditions wet = dry with { WetVapourPressureKPa = vapourKPa, PsychrometricKPaPerK = 0.0665 };
        Assert.Equal(15, Solve(dry, 0.02, new StemCovers([], 0.8, 0, false)), 1e-9);
        double wetC = Solve(wet, 0.02, new StemCovers([], 0.8, 0, false));

        // With 0.93 between the resistances a wet cylinder settles near the wet bulb of an aspirated psychrometer.
        double bulbC = GraftWatch.Microclimate.Humidity.Humidity.WetBulbC(15, vapourKPa, 100);
        Assert.Equal(bulbC, wetC, 0.35);
        Assert.True(Solve(Sunny with { WetVapourPressureKPa = 0.8, PsychrometricKPaPerK = 0.0665 }, 0.02, new StemCovers([], 0.8, 0.95, false))
            < Patch(Sunny, 0.8));
    }

    [Fact]
    public void A_gap_in_any_input_is_a_gap_in_the_result_and_is_forgotten_in_the_next_hour()
    {
        var balance = new StemBalance(0.02, 0, new StemCovers([], 0.8, 0.95, false));
        StemMemory clean = StemMemory.None;
        double expected = balance.Solve(Sunny, ref clean).PatchC;
        foreach (StemConditions gap in new[]
        {
            Sunny with { AirC = double.NaN }, Sunny with { WindMPerS = double.NaN }, Sunny with { BeamAcrossWPerM2 = double.NaN },
            Sunny with { DiffuseWPerM2 = double.NaN }, Sunny with { LongwaveNetWPerM2 = double.NaN },
        })
        {
            StemMemory memory = StemMemory.None;
            StemTemperatures lost = balance.Solve(gap, ref memory);
            Assert.True(double.IsNaN(lost.PatchC) && double.IsNaN(lost.MeanC) && double.IsNaN(lost.OuterPatchC));
            Assert.Equal(expected, balance.Solve(Sunny, ref memory).PatchC, 0.005);
        }
    }

    private static double Excess(StemConditions hour, double diameterM, double bark) => Math.Abs(Patch(hour, bark, diameterM) - hour.AirC);

    private static double Patch(StemConditions hour, double bark, params ReadOnlySpan<StemLayer> layers) =>
        Solve(hour, 0.02, new StemCovers(layers, bark, 0.95, false));

    private static double Patch(StemConditions hour, double bark, double diameterM) =>
        Solve(hour, diameterM, new StemCovers([], bark, 0.95, false));

    private static double Solve(StemConditions hour, double diameterM, StemCovers covers) => All(hour, diameterM, covers).PatchC;

    private static StemTemperatures All(StemConditions hour, double diameterM, StemCovers covers)
    {
        StemMemory memory = StemMemory.None;
        return new StemBalance(diameterM, covers.SolarShares.Length > 1 ? 0.003 : 0, covers, heatCapacityJPerM3K: 0).Solve(hour, ref memory);
    }

    /// <summary>Reflected share by following the light down and up until nothing is left.</summary>
    private static double Reflected(StemLayer[] layers, double bark)
    {
        double[] down = new double[layers.Length + 1], up = new double[layers.Length + 1];
        down[0] = 1;
        double reflected = 0;
        for (int bounce = 0; bounce < 20_000; bounce++)
        {
            double[] nextDown = new double[layers.Length + 1], nextUp = new double[layers.Length + 1];
            for (int i = 0; i < layers.Length; i++)
            {
                double passes = layers[i].SolarTransmittanceFrac, reflects = 1 - layers[i].SolarAbsorptanceFrac - passes;
                nextDown[i + 1] += (down[i] * passes) + (up[i + 1] * reflects);
                double rising = (down[i] * reflects) + (up[i + 1] * passes);
                if (i == 0)
                {
                    reflected += rising;
                }
                else
                {
                    nextUp[i] += rising;
                }
            }

            if (layers.Length == 0)
            {
                return 1 - bark;
            }

            nextUp[layers.Length] += down[layers.Length] * (1 - bark);
            (down, up) = (nextDown, nextUp);
            if (down.Sum() + up.Sum() < 1e-13)
            {
                break;
            }
        }

        return reflected;
    }

    /// <summary>All node temperatures by Gaussian elimination of the full system.</summary>
    private static double[] Nodes(
        StemCovers covers, StemLayer[] layers, double convection, double radiation, double evaporation, double light, double infrared, double source)
    {
        int n = layers.Length + 1;
        var a = new double[n, n + 1];
        for (int i = 0; i < n; i++)
        {
            a[i, i] = (radiation * covers.InfraredShares[i]) + (i == 0 ? convection + evaporation : 0);
            a[i, n] = (covers.SolarShares[i] * light) + (covers.InfraredShares[i] * infrared) + (i == 0 ? source : 0);
        }

        for (int i = 0; i + 1 < n; i++)
        {
            double gap = 1 / Math.Max(1e-5, layers[i].GapResistanceM2KPerW);
            a[i, i] += gap;
            a[i + 1, i + 1] += gap;
            a[i, i + 1] -= gap;
            a[i + 1, i] -= gap;
        }

        for (int p = 0; p < n; p++)
        {
            for (int r = 0; r < n; r++)
            {
                if (r == p)
                {
                    continue;
                }

                double factor = a[r, p] / a[p, p];
                for (int c = p; c <= n; c++)
                {
                    a[r, c] -= factor * a[p, c];
                }
            }
        }

        return [.. Enumerable.Range(0, n).Select(i => a[i, n] / a[i, i])];
    }
}

using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Faults;
using GraftWatch.Testing;

namespace GraftWatch.Settings.Tests.Handbooks;

public sealed class SpeciesAndMaterialsTests
{
    [Fact]
    public void The_shipped_numbers_arrive_in_the_units_of_the_program()
    {
        Handbook handbook = SettingsLoader.LoadHandbook(folder: null).Value!;
        SpeciesTraits apple = handbook.Species["apple"], walnut = handbook.Species["walnut"];

        // [MSU bud stage table, after WSU EB0913]: apple, half-inch green, 10 % kill 23 °F, 90 % kill 15 °F.
        FrostRow green = apple.Frost.Single(f => f.BbchFrom == 54);
        Assert.Equal(((23 - 32) / 1.8, (15 - 32) / 1.8), (green.Kill10C, green.Kill90C), (left, right) => Math.Abs(left.Item1 - right.Item1) < 0.06 && Math.Abs(left.Item2 - right.Item2) < 0.06);
        Assert.Equal((60e6, 0.20, 7, 32.0, 40.0), (apple.GreenWoodStrengthPa, apple.SlitAtShootM, apple.StockShootEveryDays, apple.CallusRetardedC, apple.CallusKilledC));
        Assert.Equal((BleedClass.Strong, true), (walnut.Bleeding, walnut.FreezeThawSap));
        Assert.Equal("cool", apple.Curve.Key);
        Assert.Equal(apple.Curve.TemperaturesC.Count, apple.Curve.Rates.Count);
        Assert.Equal((13.0, 18.0), (apple.TakeFromC, apple.TakeToC));

        CoverMaterial foil = handbook.Covers["foil"];
        Assert.Equal((0.15, 0.05, 0.03, 0.003), (foil.Layers[0].SolarAbsorptanceFrac, foil.Layers[0].EmissivityFrac, foil.Layers[0].GapResistanceM2KPerW, foil.Layers[0].AddedDiameterM));
        Assert.Equal(["clear film", "foil"], handbook.Covers["foil-film"].Layers.Select(l => l.Name));
        Assert.Empty(handbook.Covers["none"].Layers);
        Assert.Equal((21.0, 42.0, 56.0, true), (handbook.Ties["raffia"].FirstLookDays, handbook.Ties["raffia"].SlitFromDays, handbook.Ties["raffia"].SlitByDays, handbook.Ties["raffia"].Rots));
        Assert.True(double.IsNaN(handbook.Ties["nails"].SlitFromDays));
        Assert.Equal(4, handbook.Work["stake"].Minutes);
    }

    [Fact]
    public void A_short_species_file_of_ones_own_lives_with_the_shipped_thresholds()
    {
        string shipped = Files.Shipped("species.toml");
        string curve = shipped[shipped.IndexOf("[curve.cool]", StringComparison.Ordinal)..shipped.IndexOf("# Plum", StringComparison.Ordinal)];
        string apple = shipped[shipped.IndexOf("[species.apple]", StringComparison.Ordinal)..shipped.IndexOf("[species.pear]", StringComparison.Ordinal)];

        Loaded<Handbook> loaded = Files.Species(curve + apple);

        Assert.True(loaded.IsValid, loaded.ToString());
        Assert.Equal(["apple"], loaded.Value.Species.Keys);
    }

    [Fact]
    public void Every_fault_of_a_bad_species_file_is_listed_at_once()
    {
        Loaded<Handbook> loaded = Files.Species("""
            [curve.cool]
            temperatures = ["0 °C", "20 °C", "10 °C"]
            rates = [0, 1.2]
            source = "mine"
            [species.apple]
            name = "apple"
            also = ["malus"]
            curve = "col"
            take_from = "18 °C"
            take_to = "13 °C"
            callus_retarded = "42 °C"
            callus_killed = "40 °C"
            cold_stall = 4
            bleeding = "some"
            sap_weight = "20 percentage"
            evergreen = "no"
            stock_shoots_every = "36 h"
            frost = [
              { bbch_from = 5, bbch_to = 3, name = "odd", kill10 = "-2 °C" },
              { bbch_from = 6, bbch_to = 8, name = "warm", kill10 = "-4 °C", kill90 = "-3 °C" },
              { bbch_from = 7, bbch_to = 101, kill10 = "-4 °C", colour = "green" },
            ]
            source = "mine"
            [species.Pear]
            name = ""
            [species.crab]
            also = ["malus"]
            """);

        Assert.Null(loaded.Value);
        Approved.Text("faults-of-species", string.Join('\n', loaded.Faults) + "\n");
    }

    [Fact]
    public void Every_fault_of_a_bad_materials_file_is_listed_at_once()
    {
        Loaded<Handbook> loaded = Files.Materials("""
            [cover.none]
            name = "bare"
            layers = [{ name = "odd", solar_absorptance = 0.2, emissivity = 0.9 }]
            fit_minutes = 0
            source = "mine"
            [cover.foil]
            name = "foil"
            layers = [{ name = "foil", solar_absorptance = 0.7, solar_transmittance = 0.5, emissivity = 1.4, gap_resistance = "0.03 K" }]
            fit_minutes = "2 hours of work"
            source = "mine"
            [tie.raffia]
            name = "raffia"
            first_look = "3 weeks"
            slit_from = "8 weeks"
            slit_by = "6 weeks"
            source = "mine"
            [tie.rubber]
            name = "rubber"
            first_look = "3 weeks"
            slit_from = "8 weeks"
            source = "mine"
            [seal.wax]
            name = "wax"
            pass = 5
            source = "mine"
            [work.stake]
            minutes = "4 minutes"
            bring = "stake"
            [colour.red]
            """);

        Assert.Null(loaded.Value);
        Approved.Text("faults-of-materials", string.Join('\n', loaded.Faults) + "\n");
    }

    [Fact]
    public void Faults_of_one_file_do_not_breed_faults_in_another()
    {
        Loaded<Handbook> loaded = Files.Species("[species.apple]\nname = 3\n");

        Assert.All(loaded.Faults, (SettingsFault f) => Assert.Equal("species.toml", f.File));
    }
}

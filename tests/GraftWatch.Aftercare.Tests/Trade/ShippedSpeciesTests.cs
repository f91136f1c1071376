using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Testing;

namespace GraftWatch.Aftercare.Tests.Trade;

public sealed class ShippedSpeciesTests
{
    [Theory]
    [InlineData("lethal-buds.msu.csv", 100)]
    [InlineData("lethal-grape.fao.csv", 14)]
    public void Lethal_temperatures_are_those_of_the_published_tables(string name, int leastValues)
    {
        VectorFile file = VectorFile.Load(name);
        foreach (VectorRow row in file.Rows)
        {
            string[] names = row.Word("case").Split('|');
            FrostRow[] found = [.. Bench.Handbook.Species[names[0]].Frost.Where(frost => frost.Name == names[1])];
            Assert.True(found.Length > 0, row.ToString());
            foreach (FrostRow frost in found)
            {
                if (name.Contains("msu", StringComparison.Ordinal))
                {
                    row.Check("kill10F", (frost.Kill10C * 1.8) + 32);
                    row.Check("kill90F", (frost.Kill90C * 1.8) + 32);
                }
                else
                {
                    row.Check("kill10C", frost.Kill10C);
                    row.Check("kill90C", frost.Kill90C);
                }
            }
        }

        Assert.True(file.CheckedValues >= leastValues, $"{file.CheckedValues} values");
    }

    [Fact]
    public void Take_bands_are_those_of_the_trade()
    {
        VectorFile file = VectorFile.Load("take-bands.trade.csv");
        foreach (VectorRow row in file.Rows)
        {
            SpeciesTraits species = Bench.Handbook.Species[row.Word("case")];
            row.Check("fromC", species.TakeFromC);
            row.Check("toC", species.TakeToC);
        }

        Assert.Equal(36, file.CheckedValues);
    }

    [Fact]
    public void Rows_of_a_species_do_not_overlap_and_rise()
    {
        foreach (SpeciesTraits species in Bench.Handbook.Species.Values)
        {
            for (int i = 1; i < species.Frost.Count; i++)
            {
                Assert.True(species.Frost[i].BbchFrom > species.Frost[i - 1].BbchTo, species.Key + " " + species.Frost[i].Name);
            }
        }
    }

    [Fact]
    public void Later_buds_never_stand_more_frost_than_earlier_ones_of_the_same_kind()
    {
        foreach (SpeciesTraits species in Bench.Handbook.Species.Values)
        {
            foreach (FrostRow[] kind in new[] { species.Frost.Where(row => row.BbchTo < 20).ToArray(), species.Frost.Where(row => row.BbchFrom > 50).ToArray() })
            {
                for (int i = 1; i < kind.Length; i++)
                {
                    Assert.True(kind[i].Kill10C >= kind[i - 1].Kill10C, species.Key + " " + kind[i].Name);
                }
            }
        }
    }

    // Bleeding classes of the trade: vine, walnut and kiwi bleed hard; pome fruit not at all.
    [Theory]
    [InlineData("grape", BleedClass.Strong)]
    [InlineData("walnut", BleedClass.Strong)]
    [InlineData("kiwi", BleedClass.Strong)]
    [InlineData("mulberry", BleedClass.Moderate)]
    [InlineData("fig", BleedClass.Moderate)]
    [InlineData("persimmon", BleedClass.Moderate)]
    [InlineData("pecan", BleedClass.Moderate)]
    [InlineData("apple", BleedClass.None)]
    [InlineData("pear", BleedClass.None)]
    [InlineData("quince", BleedClass.None)]
    [InlineData("medlar", BleedClass.None)]
    public void Bleeding_is_the_trades_class(string species, BleedClass expected) =>
        Assert.Equal(expected, Bench.Handbook.Species[species].Bleeding);
}

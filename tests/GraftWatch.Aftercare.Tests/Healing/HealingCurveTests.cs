using GraftWatch.Aftercare.Healing;
using GraftWatch.Aftercare.Tests.Scenes;

namespace GraftWatch.Aftercare.Tests.Healing;

/// <summary>The directions that published work gives for callus and temperature; the drawn numbers between them are estimates.</summary>
public sealed class HealingCurveTests
{
    private static double Rate(string species, double at) => HealingPath.Rates([at], Bench.Handbook.Species[species].Curve)[0];

    private static double Best(string species)
    {
        double best = 0;
        for (double at = 0; at <= 45; at += 0.25)
        {
            best = Rate(species, at) > Rate(species, best) ? at : best;
        }

        return best;
    }

    // [Shippy1930], from memory: none at 0, little near 4, held back above 32, dead at 40 °C.
    [Fact]
    public void Apple_callus_follows_Shippy()
    {
        Assert.Equal(0, Rate("apple", 0));
        Assert.True(Rate("apple", 4) < 0.15);
        for (double at = 4; at < 28; at += 0.5)
        {
            Assert.True(Rate("apple", at + 0.5) > Rate("apple", at), $"at {at}");
        }

        Assert.True(Rate("apple", 32) < Rate("apple", Best("apple")));
        Assert.True(Rate("apple", 35) < Rate("apple", 32));
        Assert.Equal(0, Rate("apple", 40));
    }

    // [HartmannKester2011], from memory: best 24-27, slow below 20, almost nothing below 15 °C.
    [Fact]
    public void Grape_callus_follows_the_handbook()
    {
        Assert.InRange(Best("grape"), 24, 28);
        Assert.True(Rate("grape", 15) <= 0.15);
        Assert.True(Rate("grape", 20) <= 0.7);
        Assert.True(Rate("grape", 30) < Rate("grape", 27));
    }

    // Sitton 1931 and Rongting & Pinghai 1990, from memory; callus room 26-29 °C (Paunović et al. 2010).
    [Fact]
    public void Walnut_callus_follows_Sitton()
    {
        Assert.InRange(Best("walnut"), 25, 29);
        Assert.True(Rate("walnut", 15) <= 0.1);
        Assert.True(Rate("walnut", 20) <= 0.6);
        Assert.True(Rate("walnut", 36) < Rate("walnut", 27));
        Assert.True(Rate("walnut", 40) <= 0.05);
    }

    // Tropical Agriculture 75(3), 1998: no union at 15 and 20, good at 24 and 28, 38 °C harmful when it lasts.
    [Fact]
    public void Mango_union_follows_the_trial()
    {
        Assert.Equal(0, Rate("mango", 15));
        Assert.Equal(0, Rate("mango", 20));
        Assert.True(Rate("mango", 24) >= 0.8);
        Assert.True(Rate("mango", 28) >= 0.8);
        Assert.True(Rate("mango", 38) < 0.5);
        Assert.Equal(38, Bench.Handbook.Species["mango"].CallusKilledC);
    }

    // Humphrey, Bench Grafter's Handbook: hazel 22-24 °C.
    [Fact]
    public void Hazel_callus_is_best_where_the_handbook_says() => Assert.InRange(Best("hazel"), 22, 26);

    [Fact]
    public void Every_curve_stays_between_nothing_and_one_and_reaches_one()
    {
        foreach (string species in Bench.Handbook.Species.Keys)
        {
            Assert.Equal(1, Rate(species, Best(species)), 9);
            for (double at = -10; at <= 50; at += 0.5)
            {
                Assert.InRange(Rate(species, at), 0, 1);
            }
        }
    }

    [Fact]
    public void An_unknown_temperature_gives_an_unknown_rate() => Assert.Equal(double.NaN, Rate("apple", double.NaN));
}

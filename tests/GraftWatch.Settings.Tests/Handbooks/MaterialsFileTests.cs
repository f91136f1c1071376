using GraftWatch.Aftercare.Trade;

namespace GraftWatch.Settings.Tests.Handbooks;

/// <summary>Covers obey the conservation of energy before the physics meets them (Kirchhoff's law; any heat transfer text).</summary>
public class MaterialsFileTests
{
    [Fact]
    public void Every_shipped_layer_is_possible()
    {
        Loaded<Handbook> shipped = Files.Materials(Files.Shipped("materials.toml"));
        Assert.True(shipped.IsValid, shipped.ToString());
        Assert.All(shipped.Value.Covers.Values.SelectMany(c => c.Layers), layer =>
        {
            Assert.InRange(layer.SolarAbsorptanceFrac + layer.SolarTransmittanceFrac, 0, 1);
            Assert.InRange(layer.EmissivityFrac + layer.InfraredTransmittanceFrac, 0, 1);
        });
    }

    [Theory]
    [InlineData("solar_transmittance = 0.87", "solar_transmittance = 0.97", "of the sunlight, more than there is")]
    [InlineData("infrared_transmittance = 0.7", "infrared_transmittance = 0.9", "of the heat rays, more than there is")]
    public void A_layer_that_makes_energy_is_refused(string right, string wrong, string said)
    {
        Loaded<Handbook> loaded = Files.Materials(Files.Shipped("materials.toml").Replace(right, wrong, StringComparison.Ordinal));
        Assert.False(loaded.IsValid);
        Assert.All(loaded.Faults, fault => Assert.Contains(said, fault.Problem, StringComparison.Ordinal));
    }
}

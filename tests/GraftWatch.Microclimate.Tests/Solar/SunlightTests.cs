using GraftWatch.Microclimate.Solar;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Solar;

public class SunlightTests
{
    [Theory]
    [InlineData("Solar/extraterrestrial.csv")]
    [InlineData("Solar/extraterrestrial-regression.csv")]
    public void Light_above_the_atmosphere_follows_the_distance_to_the_sun(string file)
    {
        foreach (VectorRow row in VectorFile.Load(file).Rows)
        {
            row.Check("topWPerM2", Sunlight.ExtraterrestrialNormalWPerM2(row["dayOfYear"]));
        }
    }

    [Fact]
    public void Air_mass_is_the_published_one_down_to_the_horizon()
    {
        foreach (VectorRow row in VectorFile.Load("Solar/air-mass.csv").Rows)
        {
            row.Check("airMass", Sunlight.AirMass(row["apparentZenithDeg"]));
        }

        Assert.True(double.IsNaN(Sunlight.AirMass(90.1)));
    }

    [Fact]
    public void Clear_sky_light_is_the_published_one()
    {
        foreach (VectorRow row in VectorFile.Load("Solar/clear-sky.csv").Rows)
        {
            row.Check("globalWPerM2", Sunlight.ClearGlobalWPerM2(Math.Sin(row["altitudeDeg"] * Math.PI / 180)));
        }

        Assert.Equal(0, Sunlight.ClearGlobalWPerM2(-0.1));
        Assert.True(double.IsNaN(Sunlight.ClearGlobalWPerM2(double.NaN)));
    }

    [Fact]
    public void Full_cloud_lets_a_quarter_of_the_clear_sky_through_and_no_cloud_all_of_it()
    {
        // [Kasten1980]: 1 - 0.75 (N/8)^3.4, so a quarter at eight oktas.
        Assert.Equal(0.25, Sunlight.CloudPassFrac(1), 12);
        Assert.Equal(1, Sunlight.CloudPassFrac(0), 12);
        Assert.Equal(1 - (0.75 * Math.Pow(0.5, 3.4)), Sunlight.CloudPassFrac(0.5), 12);
    }
}

using GraftWatch.Microclimate.Longwave;
using GraftWatch.Testing;
using Air = GraftWatch.Microclimate.Humidity.Humidity;

namespace GraftWatch.Microclimate.Tests.Longwave;

public class ThermalSkyTests
{
    [Fact]
    public void Clear_sky_emission_keeps_its_values()
    {
        foreach (VectorRow row in VectorFile.Load("Longwave/clear-sky-regression.csv").Rows)
        {
            double vapourKPa = Air.VapourPressureFromHumidityKPa(row["airC"], row["humidityPct"]);
            double prata = ThermalSky.ClearEmissivityFrac(row["airC"], vapourKPa);
            row.Check("prataFrac", prata);
            row.Check("brutsaertFrac", ThermalSky.BrutsaertEmissivityFrac(row["airC"], vapourKPa));
            row.Check("prataWPerM2", prata * ThermalSky.BlackBodyWPerM2(row["airC"]));
        }
    }

    [Fact]
    public void A_black_body_at_freezing_gives_the_textbook_flux()
    {
        // [Incropera2007] ch. 12: σ·273.15⁴ = 315.7 W/m².
        Assert.Equal(315.66, ThermalSky.BlackBodyWPerM2(0), 0.01);
        Assert.Equal(459.3, ThermalSky.BlackBodyWPerM2(26.85), 0.1);
    }

    [Fact]
    public void Full_cloud_shines_nearly_as_the_air_and_a_clear_sky_as_itself()
    {
        Assert.Equal(0.7, ThermalSky.CloudedEmissivityFrac(0.7, 0), 12);
        Assert.Equal(0.7 + (0.84 * 0.3), ThermalSky.CloudedEmissivityFrac(0.7, 1), 12);
    }

    [Fact]
    public void The_low_sky_term_is_the_integral_of_the_angular_law()
    {
        // Emissivity a + b ln sec θ over a vertical face against a horizontal one, [Unsworth1975]: numeric integral over the upper half sky.
        const double b = 0.09;
        double facing = 0, level = 0;
        const int steps = 4000;
        for (int i = 0; i < steps; i++)
        {
            double zenith = Math.PI / 2 * (i + 0.5) / steps;
            double emissivity = b * Math.Log(1 / Math.Cos(zenith));
            double ring = Math.PI / 2 / steps * Math.Sin(zenith) * emissivity;
            facing += 2 * Math.Sin(zenith) * ring / Math.PI;
            level += 2 * Math.Cos(zenith) * ring;
        }

        Assert.Equal(ThermalSky.LowSkyWPerM2(1, 0), facing - (0.5 * level), 1e-4);
        Assert.Equal(0, ThermalSky.LowSkyWPerM2(315, 1));
    }

    [Fact]
    public void Ground_is_warmer_than_the_air_by_day_and_colder_on_clear_calm_nights()
    {
        Assert.Equal(10 + 9, ThermalSky.GroundC(10, 600, 0, 2), 12);
        Assert.Equal(-2.5, ThermalSky.GroundC(0, 0, 0, 0), 12);
        Assert.Equal(0, ThermalSky.GroundC(0, 0, 1, 0), 12);
        Assert.True(double.IsNaN(ThermalSky.GroundC(0, 0, double.NaN, 0)));
        Assert.True(double.IsNaN(ThermalSky.GroundC(0, double.NaN, 0, 0)));
    }
}

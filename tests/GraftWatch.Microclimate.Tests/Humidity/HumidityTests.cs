using GraftWatch.Testing;
using Air = GraftWatch.Microclimate.Humidity.Humidity;

namespace GraftWatch.Microclimate.Tests.Humidity;

public class HumidityTests
{
    [Fact]
    public void Saturation_and_its_slope_are_those_of_the_fao_tables()
    {
        foreach (VectorRow row in VectorFile.Load("Humidity/fao-saturation.csv").Rows)
        {
            row.Check("saturationKPa", Air.SaturationKPa(row["airC"]));
            row.Check("slopeKPaPerK", Air.SlopeKPaPerK(row["airC"]));
        }
    }

    [Fact]
    public void Pressure_and_psychrometric_constant_are_those_of_the_fao_tables()
    {
        foreach (VectorRow row in VectorFile.Load("Humidity/fao-pressure.csv").Rows)
        {
            double pressureKPa = Air.PressureKPa(row["elevationM"]);
            row.Check("pressureKPa", pressureKPa);
            row.Check("gammaKPaPerK", Air.PsychrometricConstantKPaPerK(pressureKPa));
        }
    }

    [Fact]
    public void The_worked_examples_on_vapour_pressure_are_met()
    {
        foreach (VectorRow row in VectorFile.Load("Humidity/fao-examples.csv").Rows)
        {
            if (row.Has("saturationKPa"))
            {
                row.Check("saturationKPa", Air.SaturationKPa(row["airC"]));
            }

            if (row.Has("psychrometerKPa"))
            {
                row.Check("psychrometerKPa", Air.VapourPressureFromWetBulbKPa(row["dryC"], row["wetC"], row["pressureKPa"]));
            }

            if (row.Has("dailyKPa"))
            {
                row.Check("dailyKPa", Air.DailyVapourPressureKPa(row["lowestC"], row["highestC"], row["highestHumidityPct"], row["lowestHumidityPct"]));
            }
        }
    }

    [Fact]
    public void Saturation_is_that_of_the_steam_tables_over_water_and_over_ice()
    {
        foreach (VectorRow row in VectorFile.Load("Humidity/ashrae-saturation.csv").Rows)
        {
            row.Check("waterKPa", Air.SaturationKPa(row["airC"]));
            row.Check("iceKPa", Air.SaturationOverIceKPa(row["airC"]));
        }
    }

    [Fact]
    public void Dew_point_from_relative_humidity_is_the_published_one()
    {
        foreach (VectorRow row in VectorFile.Load("Humidity/dew-point.csv").Rows)
        {
            row.Check("dewPointC", Air.DewPointFromHumidityC(row["airC"], row["humidityPct"]));
            double byFaoC = Air.DewPointC(Air.VapourPressureFromHumidityKPa(row["airC"], row["humidityPct"]));
            Assert.Equal(row["dewPointC"], byFaoC, 0.02);
        }
    }

    [Fact]
    public void Wet_bulb_of_a_ventilated_psychrometer_agrees_with_adiabatic_saturation()
    {
        foreach (VectorRow row in VectorFile.Load("Humidity/wet-bulb.csv").Rows)
        {
            double vapourKPa = Air.VapourPressureFromHumidityKPa(row["airC"], row["humidityPct"]);
            row.Check("wetBulbC", Air.WetBulbC(row["airC"], vapourKPa, row["pressureKPa"]));
        }
    }

    [Fact]
    public void Dew_point_and_wet_bulb_keep_their_earlier_values()
    {
        foreach (VectorRow row in VectorFile.Load("Humidity/regression.csv").Rows)
        {
            row.Check("dewPointC", Air.DewPointFromHumidityC(row["airC"], row["humidityPct"]));
            if (row.Has("wetBulbC"))
            {
                double vapourKPa = Air.VapourPressureFromHumidityKPa(row["airC"], row["humidityPct"]);
                row.Check("wetBulbC", Air.WetBulbC(row["airC"], vapourKPa, 101.3));
            }
        }
    }

    [Fact]
    public void Dew_point_inverts_saturation()
    {
        for (double airC = -50; airC <= 50; airC += 0.5)
        {
            Assert.Equal(airC, Air.DewPointC(Air.SaturationKPa(airC)), 9);
        }
    }

    [Fact]
    public void Ice_holds_less_vapour_than_supercooled_water_and_as_much_at_the_melting_point()
    {
        Assert.Equal(Air.SaturationKPa(0), Air.SaturationOverIceKPa(0), 0.001);
        for (double airC = -40; airC < -0.5; airC += 0.5)
        {
            Assert.True(Air.SaturationOverIceKPa(airC) < Air.SaturationKPa(airC));
        }
    }

    [Fact]
    public void A_gap_stays_a_gap()
    {
        Assert.True(double.IsNaN(Air.DewPointC(double.NaN)));
        Assert.True(double.IsNaN(Air.DewPointC(0)));
        Assert.True(double.IsNaN(Air.DewPointFromHumidityC(10, 0)));
        Assert.True(double.IsNaN(Air.WetBulbC(double.NaN, 1, 101.3)));
        Assert.True(double.IsNaN(Air.WetBulbC(10, double.NaN, 101.3)));
        Assert.True(double.IsNaN(Air.DeficitKPa(double.NaN, 1)));
        Assert.Equal(0, Air.DeficitKPa(5, 1.5));
    }
}

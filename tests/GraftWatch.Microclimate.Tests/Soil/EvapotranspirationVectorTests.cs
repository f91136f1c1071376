using GraftWatch.Microclimate.Soil;
using GraftWatch.Testing;
using MoistAir = GraftWatch.Microclimate.Humidity.Humidity;

namespace GraftWatch.Microclimate.Tests.Soil;

public class EvapotranspirationVectorTests
{
    [Fact]
    public void Sun_of_the_standard_matches_its_examples_and_table()
    {
        foreach (VectorRow row in VectorFile.Load("Soil/fao56-sun.csv").Rows)
        {
            int day = (int)row["dayOfYear"];
            row.Check("distanceFrac", ExtraterrestrialRadiation.DistanceFactor(day));
            row.Check("declinationRad", ExtraterrestrialRadiation.DeclinationRad(day));
            row.Check("sunsetRad", ExtraterrestrialRadiation.SunsetAngleRad(row["latitudeDeg"], day));
            row.Check("extraterrestrialMjPerM2", ExtraterrestrialRadiation.DailyMjPerM2(row["latitudeDeg"], day));
            row.Check("daylightH", ExtraterrestrialRadiation.DaylightHours(row["latitudeDeg"], day));
        }
    }

    [Fact]
    public void Single_radiation_equations_match_examples_10_to_15()
    {
        foreach (VectorRow row in VectorFile.Load("Soil/fao56-radiation.csv").Rows)
        {
            if (row.Has("solarMjPerM2"))
            {
                row.Check("solarMjPerM2", row.Has("sunshineH")
                    ? NetRadiation.SolarFromSunshineMjPerM2(row["sunshineH"], row["daylightH"], row["aboveMjPerM2"])
                    : NetRadiation.SolarFromTemperatureMjPerM2(row["minC"], row["maxC"], row["aboveMjPerM2"]));
            }

            if (row.Has("netLongwaveMjPerM2"))
            {
                double cloudiness = NetRadiation.CloudinessFrac(row["solarInMjPerM2"] / row["clearMjPerM2"]);
                row.Check("netLongwaveMjPerM2", NetRadiation.NetLongwaveDailyMjPerM2(row["minC"], row["maxC"], row["vapourKPa"], cloudiness));
            }

            if (row.Has("netSolarMjPerM2"))
            {
                row.Check("netSolarMjPerM2", NetRadiation.NetSolarMjPerM2(row["solarInMjPerM2"]));
            }

            if (row.Has("soilHeatMjPerM2"))
            {
                row.Check("soilHeatMjPerM2", NetRadiation.SoilHeatMonthlyMjPerM2(row["minC"], row["maxC"]));
            }
        }
    }

    [Fact]
    public void Wind_is_brought_to_two_metres_as_in_example_14()
    {
        foreach (VectorRow row in VectorFile.Load("Soil/fao56-wind.csv").Rows)
        {
            row.Check("atTwoMetresMPerS", ReferenceEt.WindAtTwoMetresMPerS(row["windMPerS"], row["heightM"]));
        }
    }

    [Fact]
    public void Example_16_net_radiation_without_measured_radiation()
    {
        VectorRow row = Assert.Single(VectorFile.Load("Soil/fao56-ex16.csv").Rows);
        double above = ExtraterrestrialRadiation.DailyMjPerM2(row["latitudeDeg"], (int)row["dayOfYear"]);
        double solar = NetRadiation.SolarFromTemperatureMjPerM2(row["minC"], row["maxC"], above, 0.19);
        double cloudiness = NetRadiation.CloudinessFrac(solar / NetRadiation.ClearSkyMjPerM2(row["elevationM"], above));
        row.Check(
            "netMjPerM2",
            NetRadiation.NetSolarMjPerM2(solar)
            - NetRadiation.NetLongwaveDailyMjPerM2(row["minC"], row["maxC"], row["vapourKPa"], cloudiness));
    }

    [Fact]
    public void Example_17_step_by_step()
    {
        VectorRow row = Assert.Single(VectorFile.Load("Soil/fao56-ex17.csv").Rows);
        double airC = 0.5 * (row["minC"] + row["maxC"]);
        double pressure = MoistAir.PressureKPa(row["elevationM"]);
        double saturation = 0.5 * (MoistAir.SaturationKPa(row["minC"]) + MoistAir.SaturationKPa(row["maxC"]));
        row.Check("saturationKPa", saturation);
        row.Check("slopeKPaPerK", MoistAir.SlopeKPaPerK(airC));
        row.Check("gammaKPaPerK", MoistAir.PsychrometricConstantKPaPerK(pressure));
        double above = ExtraterrestrialRadiation.DailyMjPerM2(row["latitudeDeg"], (int)row["dayOfYear"]);
        double daylight = ExtraterrestrialRadiation.DaylightHours(row["latitudeDeg"], (int)row["dayOfYear"]);
        double solar = NetRadiation.SolarFromSunshineMjPerM2(row["sunshineH"], daylight, above);
        double clear = NetRadiation.ClearSkyMjPerM2(row["elevationM"], above);
        double longwave = NetRadiation.NetLongwaveDailyMjPerM2(
            row["minC"], row["maxC"], row["vapourKPa"], NetRadiation.CloudinessFrac(solar / clear));
        double net = NetRadiation.NetSolarMjPerM2(solar) - longwave;
        double soilHeat = NetRadiation.SoilHeatMonthlyMjPerM2(row["previousMonthC"], row["nextMonthC"]);
        row.Check("aboveMjPerM2", above);
        row.Check("daylightH", daylight);
        row.Check("solarMjPerM2", solar);
        row.Check("clearMjPerM2", clear);
        row.Check("netSolarMjPerM2", NetRadiation.NetSolarMjPerM2(solar));
        row.Check("netLongwaveMjPerM2", longwave);
        row.Check("netMjPerM2", net);
        row.Check("soilHeatMjPerM2", soilHeat);
        row.Check("etMm", ReferenceEt.Fao56DailyMm(airC, saturation, row["vapourKPa"], net, soilHeat, row["windMPerS"], pressure));
    }

    [Fact]
    public void Example_18_step_by_step()
    {
        VectorRow row = Assert.Single(VectorFile.Load("Soil/fao56-ex18.csv").Rows);
        double airC = 0.5 * (row["minC"] + row["maxC"]);
        double pressure = MoistAir.PressureKPa(row["elevationM"]);
        double wind = ReferenceEt.WindAtTwoMetresMPerS(row["windKmPerH"] / 3.6, 10);
        double saturation = 0.5 * (MoistAir.SaturationKPa(row["minC"]) + MoistAir.SaturationKPa(row["maxC"]));
        double vapour = MoistAir.DailyVapourPressureKPa(row["minC"], row["maxC"], row["maxHumidityPct"], row["minHumidityPct"]);
        double above = ExtraterrestrialRadiation.DailyMjPerM2(row["latitudeDeg"], (int)row["dayOfYear"]);
        double daylight = ExtraterrestrialRadiation.DaylightHours(row["latitudeDeg"], (int)row["dayOfYear"]);
        double solar = NetRadiation.SolarFromSunshineMjPerM2(row["sunshineH"], daylight, above);
        double clear = NetRadiation.ClearSkyMjPerM2(row["elevationM"], above);
        double longwave = NetRadiation.NetLongwaveDailyMjPerM2(
            row["minC"], row["maxC"], vapour, NetRadiation.CloudinessFrac(solar / clear));
        double net = NetRadiation.NetSolarMjPerM2(solar) - longwave;
        row.Check("windAt2MMPerS", wind);
        row.Check("slopeKPaPerK", MoistAir.SlopeKPaPerK(airC));
        row.Check("gammaKPaPerK", MoistAir.PsychrometricConstantKPaPerK(pressure));
        row.Check("saturationKPa", saturation);
        row.Check("vapourKPa", vapour);
        row.Check("aboveMjPerM2", above);
        row.Check("daylightH", daylight);
        row.Check("solarMjPerM2", solar);
        row.Check("clearMjPerM2", clear);
        row.Check("netSolarMjPerM2", NetRadiation.NetSolarMjPerM2(solar));
        row.Check("netLongwaveMjPerM2", longwave);
        row.Check("netMjPerM2", net);
        row.Check("etMm", ReferenceEt.Fao56DailyMm(airC, saturation, vapour, net, 0, wind, pressure));
    }

    [Fact]
    public void Example_19_step_by_step_for_an_hour_of_day_and_one_of_night()
    {
        const int day = 274;
        const double latitudeDeg = 16 + (13 / 60.0), longitudeDeg = -(16 + (15 / 60.0)), elevationM = 8, zoneH = -1;
        foreach (VectorRow row in VectorFile.Load("Soil/fao56-ex19.csv").Rows)
        {
            double saturation = MoistAir.SaturationKPa(row["airC"]);
            double vapour = saturation * row["humidityPct"] / 100;
            double angle = ExtraterrestrialRadiation.SolarTimeAngleRad(row["midClockH"] - zoneH, longitudeDeg, day);
            double above = ExtraterrestrialRadiation.HourlyMjPerM2(latitudeDeg, day, angle);
            double clearness = row.Has("clearnessTaken")
                ? row["clearnessTaken"]
                : row["solarMjPerM2"] / NetRadiation.ClearSkyMjPerM2(elevationM, above);
            var place = new HourlyReference(latitudeDeg, longitudeDeg, elevationM, ReferenceMethod.Fao56);
            double net = place.NetMjPerM2(row["airC"], vapour, row["solarMjPerM2"], NetRadiation.CloudinessFrac(clearness));
            row.Check("saturationKPa", saturation);
            row.Check("vapourKPa", vapour);
            row.Check("aboveMjPerM2", above);
            row.Check("clearnessFrac", clearness);
            row.Check("netSolarMjPerM2", NetRadiation.NetSolarMjPerM2(row["solarMjPerM2"]));
            row.Check("netLongwaveMjPerM2", NetRadiation.NetSolarMjPerM2(row["solarMjPerM2"]) - net);
            row.Check("netMjPerM2", net);
            row.Check("soilHeatMjPerM2", ReferenceEt.SoilHeatHourlyMjPerM2(net, ReferenceSurface.Grass));
            row.Check("etMm", ReferenceEt.Fao56HourlyMm(row["airC"], vapour, net, row["windMPerS"], MoistAir.PressureKPa(elevationM)));
        }
    }

    [Fact]
    public void Example_20_from_temperatures_alone()
    {
        VectorRow row = Assert.Single(VectorFile.Load("Soil/fao56-ex20.csv").Rows);
        double airC = 0.5 * (row["minC"] + row["maxC"]);
        double vapour = MoistAir.SaturationKPa(row["minC"]);
        double saturation = 0.5 * (vapour + MoistAir.SaturationKPa(row["maxC"]));
        double above = ExtraterrestrialRadiation.DailyMjPerM2(row["latitudeDeg"], (int)row["dayOfYear"]);
        double solar = NetRadiation.SolarFromTemperatureMjPerM2(row["minC"], row["maxC"], above);
        double clear = NetRadiation.ClearSkyMjPerM2(row["elevationM"], above);
        double net = NetRadiation.NetSolarMjPerM2(solar)
            - NetRadiation.NetLongwaveDailyMjPerM2(row["minC"], row["maxC"], vapour, NetRadiation.CloudinessFrac(solar / clear));
        row.Check("vapourKPa", vapour);
        row.Check("saturationKPa", saturation);
        row.Check("solarMjPerM2", solar);
        row.Check("clearMjPerM2", clear);
        row.Check("netMjPerM2", net);
        row.Check("etMm", ReferenceEt.Fao56DailyMm(airC, saturation, vapour, net, 0, row["windMPerS"], MoistAir.PressureKPa(row["elevationM"])));
        row.Check("hargreavesMm", ReferenceEt.HargreavesDailyMm(row["minC"], row["maxC"], above));
    }

    [Fact]
    public void Standardized_hour_at_Fallon_step_by_step()
    {
        VectorRow row = Assert.Single(VectorFile.Load("Soil/asce2005-hourly.csv").Rows);
        const int day = 182;
        double airC = FromFahrenheit(row["airF"]), solar = row["solarLangley"] * 0.041868;
        double wind = ReferenceEt.WindAtTwoMetresMPerS(row["windMph"] * 0.44704, 3);
        double pressure = MoistAir.PressureKPa(1208.5);
        double vapour = MoistAir.SaturationKPa(FromFahrenheit(row["dewPointF"]));
        double above = ExtraterrestrialRadiation.HourlyMjPerM2(
            39.4575, day, ExtraterrestrialRadiation.SolarTimeAngleRad(18.5, -118.77388, day));
        double clear = NetRadiation.ClearSkyMjPerM2(1208.5, above);
        double cloudiness = NetRadiation.CloudinessFrac(solar / clear);
        var place = new HourlyReference(39.4575, -118.77388, 1208.5, ReferenceMethod.Asce2005Short);
        double net = place.NetMjPerM2(airC, vapour, solar, cloudiness);
        row.Check("pressureKPa", pressure);
        row.Check("windAt2MMPerS", wind);
        row.Check("saturationKPa", MoistAir.SaturationKPa(airC));
        row.Check("vapourKPa", vapour);
        row.Check("angleFromStartRad", ExtraterrestrialRadiation.SolarTimeAngleRad(18, -118.77388, day));
        row.Check("aboveMjPerM2", above);
        row.Check("clearMjPerM2", clear);
        double sine = ExtraterrestrialRadiation.SineOfAltitude(
            39.4575, day, ExtraterrestrialRadiation.SolarTimeAngleRad(18.5, -118.77388, day));
        row.Check("clearInVapourMjPerM2", NetRadiation.ClearSkyInVapourMjPerM2(row["suiteAboveMjPerM2"], pressure, vapour, sine));
        row.Check("cloudinessFrac", cloudiness);
        row.Check("netLongwaveMjPerM2", NetRadiation.NetSolarMjPerM2(solar) - net);
        row.Check("netMjPerM2", net);
        row.Check("shortMm", ReferenceEt.Asce2005HourlyMm(airC, vapour, net, wind, pressure));
        row.Check("tallMm", ReferenceEt.Asce2005HourlyMm(airC, vapour, net, wind, pressure, ReferenceSurface.Alfalfa));
    }

    [Fact]
    public void Nights_have_their_own_surface_terms_and_soil_heat()
    {
        foreach (VectorRow row in VectorFile.Load("Soil/hourly-night.regression.csv").Rows)
        {
            double air = row["airC"], vapour = row["vapourKPa"], net = row["netMjPerM2"], wind = row["windMPerS"], pressure = row["pressureKPa"];
            row.Check("fao56Mm", ReferenceEt.Fao56HourlyMm(air, vapour, net, wind, pressure));
            row.Check("shortMm", ReferenceEt.Asce2005HourlyMm(air, vapour, net, wind, pressure));
            row.Check("tallMm", ReferenceEt.Asce2005HourlyMm(air, vapour, net, wind, pressure, ReferenceSurface.Alfalfa));
        }
    }

    [Fact]
    public void Standardized_day_at_Fallon_step_by_step()
    {
        VectorRow row = Assert.Single(VectorFile.Load("Soil/asce2005-daily.csv").Rows);
        const int day = 182;
        double minC = FromFahrenheit(row["minF"]), maxC = FromFahrenheit(row["maxF"]);
        double vapour = MoistAir.SaturationKPa(FromFahrenheit(row["dewPointF"]));
        double wind = row["windMph"] * 0.44704;
        row.Check("distanceFrac", ExtraterrestrialRadiation.DistanceFactor(day));
        row.Check("declinationRad", ExtraterrestrialRadiation.DeclinationRad(day));
        row.Check("aboveMjPerM2", ExtraterrestrialRadiation.DailyMjPerM2(39.4575, day));
        row.Check("vapourKPa", vapour);
        row.Check("saturationKPa", 0.5 * (MoistAir.SaturationKPa(minC) + MoistAir.SaturationKPa(maxC)));
        row.Check("windAt2MMPerS", ReferenceEt.WindAtTwoMetresMPerS(wind, 3));
        row.Check("netLongwaveMjPerM2", NetRadiation.NetLongwaveDailyMjPerM2(
            minC, maxC, vapour, row["cloudinessFrac"], NetRadiation.AsceSigmaMjPerK4PerM2PerDay));
        Daily daily = new(39.4575, 1208.5, day, minC, maxC, vapour, wind, row["solarLangley"] * 0.041868);
        row.Check("clearInVapourMjPerM2", daily.ClearInVapour);
        row.Check("shortMm", daily.Asce(ReferenceSurface.Grass));
        row.Check("tallMm", daily.Asce(ReferenceSurface.Alfalfa));
        row.Check("tallSimpleMm", daily.AsceSimpleSky(ReferenceSurface.Alfalfa));
    }

    [Fact]
    public void Days_at_Maricopa_match_an_independent_program()
    {
        foreach (VectorRow row in VectorFile.Load("Soil/refet-maricopa-daily.csv").Rows)
        {
            Daily daily = Daily.From(row, 33.069, 361);
            row.Check("asceShortMm", daily.Asce(ReferenceSurface.Grass));
            row.Check("asceTallMm", daily.Asce(ReferenceSurface.Alfalfa));
            row.Check("fao56Mm", daily.Fao());
        }
    }

    [Fact]
    public void Days_at_Fallon_match_an_independent_program()
    {
        foreach (VectorRow row in VectorFile.Load("Soil/refet-fallon-daily.csv").Rows)
        {
            Daily daily = Daily.From(row, 39.4575, 1208.5);
            row.Check("asceShortMm", daily.Asce(ReferenceSurface.Grass));
            row.Check("asceTallMm", daily.Asce(ReferenceSurface.Alfalfa));
        }
    }

    private static double FromFahrenheit(double f) => (f - 32) / 1.8;

    private sealed record Daily(
        double LatitudeDeg, double ElevationM, int Day, double MinC, double MaxC, double VapourKPa, double WindAt3M, double SolarMj)
    {
        private double AirC => 0.5 * (MinC + MaxC);

        private double SaturationKPa => 0.5 * (MoistAir.SaturationKPa(MinC) + MoistAir.SaturationKPa(MaxC));

        private double WindAt2M => ReferenceEt.WindAtTwoMetresMPerS(WindAt3M, 3);

        private double PressureKPa => MoistAir.PressureKPa(ElevationM);

        public static Daily From(VectorRow row, double latitudeDeg, double elevationM) => new(
            latitudeDeg,
            elevationM,
            (int)row["dayOfYear"],
            row["minC"],
            row["maxC"],
            MoistAir.SaturationKPa(row["dewPointC"]),
            row["windMPerS"],
            row["solarMjPerM2"]);

        public double Asce(ReferenceSurface surface) => Asce(surface, ClearInVapour);

        public double AsceSimpleSky(ReferenceSurface surface) => Asce(surface, ClearSimple);

        public double Fao() => ReferenceEt.Fao56DailyMm(
            AirC, SaturationKPa, VapourKPa, Net(NetRadiation.FaoSigmaMjPerK4PerM2PerDay, ClearSimple), 0, WindAt2M, PressureKPa);

        public double ClearInVapour => NetRadiation.ClearSkyInVapourMjPerM2(
            ExtraterrestrialRadiation.DailyMjPerM2(LatitudeDeg, Day),
            PressureKPa,
            VapourKPa,
            NetRadiation.DailySineOfAltitude(LatitudeDeg, Day));

        private double ClearSimple =>
            NetRadiation.ClearSkyMjPerM2(ElevationM, ExtraterrestrialRadiation.DailyMjPerM2(LatitudeDeg, Day));

        private double Asce(ReferenceSurface surface, double clear) => ReferenceEt.Asce2005DailyMm(
            AirC, SaturationKPa, VapourKPa, Net(NetRadiation.AsceSigmaMjPerK4PerM2PerDay, clear), WindAt2M, PressureKPa, surface);

        private double Net(double sigma, double clear)
        {
            return NetRadiation.NetSolarMjPerM2(SolarMj)
                - NetRadiation.NetLongwaveDailyMjPerM2(MinC, MaxC, VapourKPa, NetRadiation.CloudinessFrac(SolarMj / clear), sigma);
        }
    }
}

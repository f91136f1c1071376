namespace GraftWatch.Microclimate.Humidity;

/// <summary>Water vapour in air: saturation, dew point, wet bulb, deficit.</summary>
/// <remarks>
/// Saturation over water is [Allen1998] eq. 11 throughout, so that dew point, humidity and deficit agree with each other and
/// with reference evapotranspiration. NaN in any argument gives NaN.
/// </remarks>
public static class Humidity
{
    /// <summary>Psychrometer coefficient of a ventilated (aspirated) wet bulb. [1/K] [Allen1998] eq. 15.</summary>
    public const double VentilatedPsychrometerPerK = 0.000662;

    /// <summary>Psychrometer coefficient of a naturally ventilated wet bulb, about 1 m/s. [1/K] [Allen1998] eq. 15.</summary>
    public const double NaturalPsychrometerPerK = 0.000800;

    /// <summary>Psychrometer coefficient of a wet bulb indoors. [1/K] [Allen1998] eq. 15.</summary>
    public const double IndoorPsychrometerPerK = 0.001200;

    /// <summary>Saturation vapour pressure over liquid water, also below zero (supercooled). [Allen1998] eq. 11.</summary>
    /// <param name="airC">Temperature. [°C], valid -60 to 60.</param>
    /// <returns>Pressure. [kPa]</returns>
    public static double SaturationKPa(double airC) => 0.6108 * Math.Exp(17.27 * airC / (airC + 237.3));

    /// <summary>Saturation vapour pressure over ice. [Alduchov1996] eq. 23.</summary>
    /// <param name="airC">Temperature. [°C], valid -80 to 0.</param>
    /// <returns>Pressure. [kPa]</returns>
    public static double SaturationOverIceKPa(double airC) => 0.61121 * Math.Exp(22.587 * airC / (airC + 273.86));

    /// <summary>Slope of the saturation curve over water. [Allen1998] eq. 13.</summary>
    /// <param name="airC">Temperature. [°C], valid -60 to 60.</param>
    /// <returns>Slope. [kPa/K]</returns>
    public static double SlopeKPaPerK(double airC)
    {
        double span = airC + 237.3;
        return 4098 * SaturationKPa(airC) / (span * span);
    }

    /// <summary>Psychrometric constant. [Allen1998] eq. 8.</summary>
    /// <param name="pressureKPa">Air pressure. [kPa], valid 30 to 110.</param>
    /// <returns>Constant. [kPa/K]</returns>
    public static double PsychrometricConstantKPaPerK(double pressureKPa) => 0.665e-3 * pressureKPa;

    /// <summary>Mean air pressure at a height above the sea. [Allen1998] eq. 7.</summary>
    /// <param name="elevationM">Height. [m], valid -430 to 9000.</param>
    /// <returns>Pressure. [kPa]</returns>
    public static double PressureKPa(double elevationM) => 101.3 * Math.Pow((293 - (0.0065 * elevationM)) / 293, 5.26);

    /// <summary>Dew point: the exact inverse of <see cref="SaturationKPa"/>.</summary>
    /// <remarks>[Allen1998] eq. 3-11 of annex 3 is the same curve with rounded coefficients and up to 0.01 K lower.</remarks>
    /// <param name="vapourPressureKPa">Vapour pressure. [kPa], above 0; 0 or less gives NaN.</param>
    /// <returns>Dew point over water. [°C]</returns>
    public static double DewPointC(double vapourPressureKPa)
    {
        if (!(vapourPressureKPa > 0))
        {
            return double.NaN;
        }

        double x = Math.Log(vapourPressureKPa / 0.6108);
        return 237.3 * x / (17.27 - x);
    }

    /// <summary>Dew point from temperature and relative humidity, a second opinion good to 0.01 K. [Alduchov1996] eq. 21 inverted.</summary>
    /// <param name="airC">Air temperature. [°C], valid -40 to 50.</param>
    /// <param name="humidityPct">Relative humidity over water. [%], above 0 to 100; 0 or less gives NaN.</param>
    /// <returns>Dew point over water. [°C]</returns>
    public static double DewPointFromHumidityC(double airC, double humidityPct)
    {
        if (!(humidityPct > 0))
        {
            return double.NaN;
        }

        double x = Math.Log(humidityPct / 100) + (17.625 * airC / (243.04 + airC));
        return 243.04 * x / (17.625 - x);
    }

    /// <summary>Vapour pressure from the dew point. [Allen1998] eq. 14.</summary>
    /// <param name="dewPointC">Dew point over water. [°C], valid -60 to 60.</param>
    /// <returns>Pressure. [kPa]</returns>
    public static double VapourPressureKPa(double dewPointC) => SaturationKPa(dewPointC);

    /// <summary>Vapour pressure from relative humidity. [Allen1998] eq. 10.</summary>
    /// <param name="airC">Air temperature. [°C], valid -60 to 60.</param>
    /// <param name="humidityPct">Relative humidity over water. [%], 0 to 100.</param>
    /// <returns>Pressure. [kPa]</returns>
    public static double VapourPressureFromHumidityKPa(double airC, double humidityPct) => SaturationKPa(airC) * humidityPct / 100;

    /// <summary>Mean vapour pressure of a day from its extremes. [Allen1998] eq. 17.</summary>
    /// <param name="lowestC">Lowest temperature. [°C]</param>
    /// <param name="highestC">Highest temperature. [°C]</param>
    /// <param name="highestHumidityPct">Highest relative humidity. [%], 0 to 100.</param>
    /// <param name="lowestHumidityPct">Lowest relative humidity. [%], 0 to 100.</param>
    /// <returns>Pressure. [kPa]</returns>
    public static double DailyVapourPressureKPa(double lowestC, double highestC, double highestHumidityPct, double lowestHumidityPct) =>
        ((SaturationKPa(lowestC) * highestHumidityPct) + (SaturationKPa(highestC) * lowestHumidityPct)) / 200;

    /// <summary>Vapour pressure from a dry and a wet bulb. [Allen1998] eq. 15.</summary>
    /// <param name="dryC">Dry bulb. [°C]</param>
    /// <param name="wetC">Wet bulb. [°C], at most <paramref name="dryC"/>.</param>
    /// <param name="pressureKPa">Air pressure. [kPa]</param>
    /// <param name="psychrometerPerK">Psychrometer coefficient. [1/K], see the constants of this class.</param>
    /// <returns>Pressure. [kPa]</returns>
    public static double VapourPressureFromWetBulbKPa(
        double dryC, double wetC, double pressureKPa, double psychrometerPerK = VentilatedPsychrometerPerK) =>
        SaturationKPa(wetC) - (psychrometerPerK * pressureKPa * (dryC - wetC));

    /// <summary>Wet bulb of a ventilated psychrometer: the root of [Allen1998] eq. 15.</summary>
    /// <remarks>
    /// Not the arctangent fit of [Stull2011], which reads 0.4 to 0.7 K too cold between -2 and 10 °C, where frost is decided.
    /// Over water also below zero. Newton from the air temperature; the function is convex and rising, so it never overshoots twice.
    /// </remarks>
    /// <param name="airC">Air temperature. [°C], valid -40 to 60.</param>
    /// <param name="vapourPressureKPa">Vapour pressure. [kPa], 0 to saturation.</param>
    /// <param name="pressureKPa">Air pressure. [kPa], valid 30 to 110.</param>
    /// <returns>Wet bulb. [°C]</returns>
    public static double WetBulbC(double airC, double vapourPressureKPa, double pressureKPa)
    {
        double perK = VentilatedPsychrometerPerK * pressureKPa;
        double wetC = airC;
        for (int step = 0; step < 12; step++)
        {
            double excess = SaturationKPa(wetC) - (perK * (airC - wetC)) - vapourPressureKPa;
            double change = excess / (SlopeKPaPerK(wetC) + perK);
            wetC -= change;
            if (!(Math.Abs(change) > 1e-9))
            {
                break;
            }
        }

        return wetC;
    }

    /// <summary>Relative humidity over water. [Allen1998] eq. 10.</summary>
    /// <param name="airC">Air temperature. [°C]</param>
    /// <param name="vapourPressureKPa">Vapour pressure. [kPa]</param>
    /// <returns>Relative humidity. [%], not cut at 100.</returns>
    public static double HumidityPct(double airC, double vapourPressureKPa) => 100 * vapourPressureKPa / SaturationKPa(airC);

    /// <summary>Vapour pressure deficit between a wet surface at one temperature and air of a vapour pressure.</summary>
    /// <param name="surfaceC">Temperature of the surface. [°C]</param>
    /// <param name="vapourPressureKPa">Vapour pressure of the air. [kPa]</param>
    /// <returns>Deficit. [kPa], not below 0 (a surface below the dew point does not dry).</returns>
    public static double DeficitKPa(double surfaceC, double vapourPressureKPa) =>
        Math.Max(0, SaturationKPa(surfaceC) - vapourPressureKPa);
}

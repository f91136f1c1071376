namespace GraftWatch.Microclimate.Soil;

/// <summary>Net radiation of the reference crop, a short clipped grass, by the evapotranspiration standards.</summary>
/// <remarks>NaN in gives NaN out.</remarks>
public static class NetRadiation
{
    /// <summary>Albedo of the reference crop. [-], [Allen1998] eq. 38.</summary>
    public const double ReferenceAlbedoFrac = 0.23;

    /// <summary>Stefan-Boltzmann constant of FAO-56. [MJ/(K⁴ m² d)], [Allen1998] eq. 39.</summary>
    public const double FaoSigmaMjPerK4PerM2PerDay = 4.903e-9;

    /// <summary>Stefan-Boltzmann constant of the ASCE standard by day. [MJ/(K⁴ m² d)], [ASCE2005] eq. 17.</summary>
    public const double AsceSigmaMjPerK4PerM2PerDay = 4.901e-9;

    /// <summary>Stefan-Boltzmann constant of the ASCE standard by hour. [MJ/(K⁴ m² h)], [ASCE2005] eq. 44.</summary>
    public const double AsceSigmaMjPerK4PerM2PerHour = 2.042e-10;

    /// <summary>Offset of the standards from Celsius to kelvin. [K], [Allen1998] eq. 39.</summary>
    private const double KelvinOffsetK = 273.16;

    /// <summary>Solar radiation from sunshine.</summary>
    /// <param name="sunshineH">Bright sunshine of the day. [h], 0 to <paramref name="daylightH"/>.</param>
    /// <param name="daylightH">Longest possible sunshine. [h], above 0.</param>
    /// <param name="extraterrestrialMjPerM2">Extraterrestrial radiation of the day. [MJ/m²]</param>
    /// <returns>Solar radiation of the day. [MJ/m²]</returns>
    /// <remarks>[Allen1998] eq. 35 with a = 0.25, b = 0.50.</remarks>
    public static double SolarFromSunshineMjPerM2(double sunshineH, double daylightH, double extraterrestrialMjPerM2) =>
        (0.25 + (0.50 * sunshineH / daylightH)) * extraterrestrialMjPerM2;

    /// <summary>Solar radiation from the day's temperature range.</summary>
    /// <param name="minC">Minimum air temperature. [°C]</param>
    /// <param name="maxC">Maximum air temperature. [°C], not below <paramref name="minC"/>.</param>
    /// <param name="extraterrestrialMjPerM2">Extraterrestrial radiation of the day. [MJ/m²]</param>
    /// <param name="coefficientPerRootK">0.16 inland, 0.19 near the coast. [K^-0.5]</param>
    /// <returns>Solar radiation of the day. [MJ/m²]</returns>
    /// <remarks>[Allen1998] eq. 50.</remarks>
    public static double SolarFromTemperatureMjPerM2(double minC, double maxC, double extraterrestrialMjPerM2, double coefficientPerRootK = 0.16) =>
        coefficientPerRootK * Math.Sqrt(maxC - minC) * extraterrestrialMjPerM2;

    /// <summary>Solar radiation under a clear sky.</summary>
    /// <param name="elevationM">Height above the sea. [m]</param>
    /// <param name="extraterrestrialMjPerM2">Extraterrestrial radiation of the day or hour. [MJ/m²]</param>
    /// <returns>Clear-sky radiation over the same time. [MJ/m²]</returns>
    /// <remarks>[Allen1998] eq. 37.</remarks>
    public static double ClearSkyMjPerM2(double elevationM, double extraterrestrialMjPerM2) =>
        (0.75 + (2e-5 * elevationM)) * extraterrestrialMjPerM2;

    /// <summary>Solar radiation under a clear sky whose vapour, pressure and sun height are known, closer than <see cref="ClearSkyMjPerM2"/> in winter.</summary>
    /// <param name="extraterrestrialMjPerM2">Extraterrestrial radiation of the day or hour. [MJ/m²]</param>
    /// <param name="pressureKPa">Air pressure. [kPa]</param>
    /// <param name="vapourPressureKPa">Vapour pressure near the ground. [kPa], 0 or more.</param>
    /// <param name="sineOfAltitude">Sine of the sun's altitude at the middle of the hour, or <see cref="DailySineOfAltitude"/>. [-]; taken as at least 0.01.</param>
    /// <param name="turbidityFrac">1 for clean air, 0.5 for very dusty air. [-]</param>
    /// <returns>Clear-sky radiation over the same time. [MJ/m²]</returns>
    /// <remarks>[ASCE2005] eq. D.1 to D.4.</remarks>
    public static double ClearSkyInVapourMjPerM2(
        double extraterrestrialMjPerM2,
        double pressureKPa,
        double vapourPressureKPa,
        double sineOfAltitude,
        double turbidityFrac = 1)
    {
        double sine = Math.Max(sineOfAltitude, 0.01);
        double waterMm = (0.14 * vapourPressureKPa * pressureKPa) + 2.1;
        double beam = 0.98 * Math.Exp((-0.00146 * pressureKPa / (turbidityFrac * sine)) - (0.075 * Math.Pow(waterMm / sine, 0.4)));
        double diffuse = beam >= 0.15 ? 0.35 - (0.36 * beam) : 0.18 + (0.82 * beam);
        return (beam + diffuse) * extraterrestrialMjPerM2;
    }

    /// <summary>Sine of the sun's altitude averaged over a day with the radiation as weight.</summary>
    /// <param name="latitudeDeg">Latitude, north positive. [°], -90 to 90.</param>
    /// <param name="dayOfYear">Day of the year. [-], 1 to 366.</param>
    /// <returns>Sine. [-], at least 0.1.</returns>
    /// <remarks>[ASCE2005] eq. D.5.</remarks>
    public static double DailySineOfAltitude(double latitudeDeg, int dayOfYear)
    {
        double latitude = double.DegreesToRadians(latitudeDeg);
        double season = Math.Sin((2 * Math.PI * dayOfYear / 365) - 1.39);
        return Math.Max(Math.Sin(0.85 + (0.3 * latitude * season) - (0.42 * latitude * latitude)), 0.1);
    }

    /// <summary>Net solar radiation of the reference crop.</summary>
    /// <param name="solarMjPerM2">Solar radiation of the day or hour. [MJ/m²]</param>
    /// <returns>Net solar radiation over the same time. [MJ/m²]</returns>
    /// <remarks>[Allen1998] eq. 38.</remarks>
    public static double NetSolarMjPerM2(double solarMjPerM2) => (1 - ReferenceAlbedoFrac) * solarMjPerM2;

    /// <summary>How much of the clear sky's longwave loss clouds leave.</summary>
    /// <param name="clearnessFrac">Solar radiation over clear-sky radiation. [-]; taken between 0.3 and 1, as the standard says.</param>
    /// <returns>Cloudiness function. [-], 0.055 to 1; NaN where the input is NaN.</returns>
    /// <remarks>[Allen1998] eq. 39, last factor; limits and name [ASCE2005] eq. 18.</remarks>
    public static double CloudinessFrac(double clearnessFrac) => (1.35 * Math.Clamp(clearnessFrac, 0.3, 1)) - 0.35;

    /// <summary>Net outgoing longwave of a day.</summary>
    /// <param name="minC">Minimum air temperature. [°C]</param>
    /// <param name="maxC">Maximum air temperature. [°C]</param>
    /// <param name="vapourPressureKPa">Mean vapour pressure. [kPa], 0 or more.</param>
    /// <param name="cloudinessFrac">Cloudiness function, see <see cref="CloudinessFrac"/>. [-]</param>
    /// <param name="sigmaMjPerK4PerM2PerDay">Constant of the standard followed. [MJ/(K⁴ m² d)]</param>
    /// <returns>Net longwave, outgoing positive. [MJ/(m² d)]</returns>
    /// <remarks>[Allen1998] eq. 39.</remarks>
    public static double NetLongwaveDailyMjPerM2(
        double minC,
        double maxC,
        double vapourPressureKPa,
        double cloudinessFrac,
        double sigmaMjPerK4PerM2PerDay = FaoSigmaMjPerK4PerM2PerDay) =>
        sigmaMjPerK4PerM2PerDay * 0.5 * (FourthPower(minC + KelvinOffsetK) + FourthPower(maxC + KelvinOffsetK))
        * NetEmissivityFrac(vapourPressureKPa) * cloudinessFrac;

    /// <summary>Net outgoing longwave of an hour.</summary>
    /// <param name="airC">Mean air temperature of the hour. [°C]</param>
    /// <param name="vapourPressureKPa">Mean vapour pressure. [kPa], 0 or more.</param>
    /// <param name="cloudinessFrac">Cloudiness function, see <see cref="CloudinessFrac"/>. [-]</param>
    /// <param name="sigmaMjPerK4PerM2PerHour">Constant of the standard followed. [MJ/(K⁴ m² h)]</param>
    /// <returns>Net longwave, outgoing positive. [MJ/(m² h)]</returns>
    /// <remarks>[ASCE2005] eq. 44; with a twenty-fourth of the FAO constant, [Allen1998] ex. 19.</remarks>
    public static double NetLongwaveHourlyMjPerM2(
        double airC,
        double vapourPressureKPa,
        double cloudinessFrac,
        double sigmaMjPerK4PerM2PerHour) =>
        sigmaMjPerK4PerM2PerHour * FourthPower(airC + KelvinOffsetK) * NetEmissivityFrac(vapourPressureKPa) * cloudinessFrac;

    /// <summary>Heat into the soil over a month from the months around it.</summary>
    /// <param name="previousMonthC">Mean air temperature of the month before. [°C]</param>
    /// <param name="nextMonthC">Mean air temperature of the month after. [°C]</param>
    /// <returns>Soil heat flux. [MJ/(m² d)]</returns>
    /// <remarks>[Allen1998] eq. 43.</remarks>
    public static double SoilHeatMonthlyMjPerM2(double previousMonthC, double nextMonthC) => 0.07 * (nextMonthC - previousMonthC);

    private static double NetEmissivityFrac(double vapourPressureKPa) => 0.34 - (0.14 * Math.Sqrt(vapourPressureKPa));

    private static double FourthPower(double x) => x * x * x * x;
}

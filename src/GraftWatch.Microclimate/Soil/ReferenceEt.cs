using MoistAir = GraftWatch.Microclimate.Humidity.Humidity;

namespace GraftWatch.Microclimate.Soil;

/// <summary>Which reference surface a standardized evapotranspiration is for.</summary>
public enum ReferenceSurface
{
    /// <summary>Clipped grass, 0.12 m: the short reference.</summary>
    Grass,

    /// <summary>Full-cover alfalfa, 0.50 m: the tall reference.</summary>
    Alfalfa,
}

/// <summary>Reference evapotranspiration by its published standards, each under its own name; they differ by a few percent.</summary>
/// <remarks>
/// Negative values are dew or net heat loss at night and are returned as the equations give them. NaN in gives NaN out.
/// </remarks>
public static class ReferenceEt
{
    /// <summary>Wind at 2 m over the reference grass from another height.</summary>
    /// <param name="windMPerS">Wind. [m/s], 0 or more.</param>
    /// <param name="heightM">Height of the anemometer. [m], above 0.1.</param>
    /// <returns>Wind at 2 m. [m/s]; NaN where the height is out of range.</returns>
    /// <remarks>[Allen1998] eq. 47.</remarks>
    public static double WindAtTwoMetresMPerS(double windMPerS, double heightM) =>
        heightM > 0.1 ? windMPerS * 4.87 / Math.Log((67.8 * heightM) - 5.42) : double.NaN;

    /// <summary>Daily reference evapotranspiration of FAO-56.</summary>
    /// <param name="airC">Mean of the day's minimum and maximum. [°C]</param>
    /// <param name="saturationKPa">Mean of the saturation pressures at minimum and maximum. [kPa]</param>
    /// <param name="vapourPressureKPa">Vapour pressure. [kPa]</param>
    /// <param name="netMjPerM2">Net radiation. [MJ/(m² d)]</param>
    /// <param name="soilMjPerM2">Heat into the soil. [MJ/(m² d)]</param>
    /// <param name="windAt2MMPerS">Wind at 2 m. [m/s]</param>
    /// <param name="pressureKPa">Air pressure. [kPa]</param>
    /// <returns>Evapotranspiration. [mm/d]</returns>
    /// <remarks>[Allen1998] eq. 6.</remarks>
    public static double Fao56DailyMm(
        double airC,
        double saturationKPa,
        double vapourPressureKPa,
        double netMjPerM2,
        double soilMjPerM2,
        double windAt2MMPerS,
        double pressureKPa) =>
        Combine(airC, saturationKPa - vapourPressureKPa, netMjPerM2 - soilMjPerM2, windAt2MMPerS, pressureKPa, 900, 0.34);

    /// <summary>Hourly reference evapotranspiration of FAO-56, with one surface term by day and night.</summary>
    /// <param name="airC">Mean air temperature of the hour. [°C]</param>
    /// <param name="vapourPressureKPa">Mean vapour pressure. [kPa]</param>
    /// <param name="netMjPerM2">Net radiation. [MJ/(m² h)]</param>
    /// <param name="windAt2MMPerS">Wind at 2 m. [m/s]</param>
    /// <param name="pressureKPa">Air pressure. [kPa]</param>
    /// <returns>Evapotranspiration. [mm/h]</returns>
    /// <remarks>[Allen1998] eq. 53, soil heat 0.1 of the net radiation by day and 0.5 by night (eq. 45, 46).</remarks>
    public static double Fao56HourlyMm(
        double airC,
        double vapourPressureKPa,
        double netMjPerM2,
        double windAt2MMPerS,
        double pressureKPa) =>
        Combine(
            airC,
            HumidityDeficitKPa(airC, vapourPressureKPa),
            netMjPerM2 - SoilHeatHourlyMjPerM2(netMjPerM2, ReferenceSurface.Grass),
            windAt2MMPerS,
            pressureKPa,
            37,
            0.34);

    /// <summary>Daily standardized reference evapotranspiration of ASCE.</summary>
    /// <param name="airC">Mean of the day's minimum and maximum. [°C]</param>
    /// <param name="saturationKPa">Mean of the saturation pressures at minimum and maximum. [kPa]</param>
    /// <param name="vapourPressureKPa">Vapour pressure. [kPa]</param>
    /// <param name="netMjPerM2">Net radiation. [MJ/(m² d)]</param>
    /// <param name="windAt2MMPerS">Wind at 2 m. [m/s]</param>
    /// <param name="pressureKPa">Air pressure. [kPa]</param>
    /// <param name="surface">Short or tall reference.</param>
    /// <returns>Evapotranspiration. [mm/d]</returns>
    /// <remarks>[ASCE2005] eq. 1 and table 1, soil heat 0.</remarks>
    public static double Asce2005DailyMm(
        double airC,
        double saturationKPa,
        double vapourPressureKPa,
        double netMjPerM2,
        double windAt2MMPerS,
        double pressureKPa,
        ReferenceSurface surface = ReferenceSurface.Grass)
    {
        (double numerator, double denominator) = surface == ReferenceSurface.Grass ? (900, 0.34) : (1600.0, 0.38);
        return Combine(airC, saturationKPa - vapourPressureKPa, netMjPerM2, windAt2MMPerS, pressureKPa, numerator, denominator);
    }

    /// <summary>Hourly standardized reference evapotranspiration of ASCE, with its own surface terms by day and night.</summary>
    /// <param name="airC">Mean air temperature of the hour. [°C]</param>
    /// <param name="vapourPressureKPa">Mean vapour pressure. [kPa]</param>
    /// <param name="netMjPerM2">Net radiation; its sign tells day from night. [MJ/(m² h)]</param>
    /// <param name="windAt2MMPerS">Wind at 2 m. [m/s]</param>
    /// <param name="pressureKPa">Air pressure. [kPa]</param>
    /// <param name="surface">Short or tall reference.</param>
    /// <returns>Evapotranspiration. [mm/h]</returns>
    /// <remarks>[ASCE2005] eq. 1 and table 1; soil heat eq. 65, 66. The short form is the one recommended for FAO-56 by the hour since [Allen2006].</remarks>
    public static double Asce2005HourlyMm(
        double airC,
        double vapourPressureKPa,
        double netMjPerM2,
        double windAt2MMPerS,
        double pressureKPa,
        ReferenceSurface surface = ReferenceSurface.Grass)
    {
        bool day = netMjPerM2 > 0;
        (double numerator, double denominator) = surface == ReferenceSurface.Grass
            ? (37.0, day ? 0.24 : 0.96)
            : (66.0, day ? 0.25 : 1.7);
        return Combine(
            airC,
            HumidityDeficitKPa(airC, vapourPressureKPa),
            netMjPerM2 - SoilHeatHourlyMjPerM2(netMjPerM2, surface),
            windAt2MMPerS,
            pressureKPa,
            numerator,
            denominator);
    }

    /// <summary>Heat into the soil under the reference crop in one hour.</summary>
    /// <param name="netMjPerM2">Net radiation; its sign tells day from night. [MJ/(m² h)]</param>
    /// <param name="surface">Short or tall reference.</param>
    /// <returns>Soil heat flux. [MJ/(m² h)]</returns>
    /// <remarks>[Allen1998] eq. 45, 46 (short); [ASCE2005] eq. 65, 66.</remarks>
    public static double SoilHeatHourlyMjPerM2(double netMjPerM2, ReferenceSurface surface)
    {
        (double byDay, double byNight) = surface == ReferenceSurface.Grass ? (0.1, 0.5) : (0.04, 0.2);
        return netMjPerM2 * (netMjPerM2 > 0 ? byDay : byNight);
    }

    /// <summary>Daily reference evapotranspiration from temperatures alone, where nothing else is known.</summary>
    /// <param name="minC">Minimum air temperature. [°C]</param>
    /// <param name="maxC">Maximum air temperature. [°C], not below <paramref name="minC"/>.</param>
    /// <param name="extraterrestrialMjPerM2">Extraterrestrial radiation. [MJ/(m² d)]</param>
    /// <returns>Evapotranspiration. [mm/d]</returns>
    /// <remarks>[Allen1998] eq. 52.</remarks>
    public static double HargreavesDailyMm(double minC, double maxC, double extraterrestrialMjPerM2) =>
        0.0023 * ((0.5 * (minC + maxC)) + 17.8) * Math.Sqrt(maxC - minC) * 0.408 * extraterrestrialMjPerM2;

    private static double HumidityDeficitKPa(double airC, double vapourPressureKPa) =>
        MoistAir.SaturationKPa(airC) - vapourPressureKPa;

    private static double Combine(
        double airC,
        double deficitKPa,
        double availableMjPerM2,
        double windAt2MMPerS,
        double pressureKPa,
        double numerator,
        double denominator)
    {
        double slope = MoistAir.SlopeKPaPerK(airC);
        double gamma = MoistAir.PsychrometricConstantKPaPerK(pressureKPa);
        return ((0.408 * slope * availableMjPerM2) + (gamma * numerator / (airC + 273) * windAt2MMPerS * deficitKPa))
            / (slope + (gamma * (1 + (denominator * windAt2MMPerS))));
    }
}

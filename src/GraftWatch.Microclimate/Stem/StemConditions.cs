namespace GraftWatch.Microclimate.Stem;

/// <summary>What one hour does to a stem. A NaN anywhere but in <paramref name="WetVapourPressureKPa"/> makes the result NaN.</summary>
/// <param name="AirC">Air temperature. [°C]</param>
/// <param name="WindMPerS">Wind at the stem. [m/s]</param>
/// <param name="BeamAcrossWPerM2">Parallel light on a line that faces it: beam times the sine of the angle between sun and axis. [W/m²]</param>
/// <param name="CosFromSun">Cosine of the angle around the stem from the sunniest line to the patch. [-]</param>
/// <param name="DiffuseWPerM2">Diffuse and reflected light, mean around the stem. [W/m²]</param>
/// <param name="DiffuseLeanWPerM2">What the patch receives beyond that mean because the stem leans. [W/m²]</param>
/// <param name="LongwaveNetWPerM2">Thermal infrared received less black-body radiation at air temperature, mean around the stem. [W/m²]</param>
/// <param name="LongwaveLeanWPerM2">What the patch receives beyond that mean because the stem leans. [W/m²]</param>
/// <param name="WetVapourPressureKPa">Vapour pressure of the air while the outermost surface is wet, NaN while it is dry. [kPa]</param>
/// <param name="PsychrometricKPaPerK">Psychrometric constant; only read while wet. [kPa/K]</param>
public readonly record struct StemConditions(
    double AirC,
    double WindMPerS,
    double BeamAcrossWPerM2,
    double CosFromSun,
    double DiffuseWPerM2,
    double DiffuseLeanWPerM2,
    double LongwaveNetWPerM2,
    double LongwaveLeanWPerM2,
    double WetVapourPressureKPa,
    double PsychrometricKPaPerK);

/// <summary>Temperatures of a stem, means over the hour.</summary>
/// <param name="MeanC">Bark and cambium, mean around the stem. [°C]</param>
/// <param name="PatchC">Bark and cambium at the patch. [°C]</param>
/// <param name="OuterPatchC">Outermost surface at the patch: cover, or bark when bare. [°C]</param>
/// <param name="EquilibriumC">What <paramref name="MeanC"/> would settle to if the hour went on. [°C]</param>
/// <param name="OuterEquilibriumC">Outermost surface in that equilibrium, mean around the stem. [°C]</param>
/// <param name="ConvectionWPerM2K">Convection from the outermost surface. [W/m²K]</param>
/// <param name="RadiationWPerM2K">Radiative coefficient of a black surface. [W/m²K]</param>
/// <param name="CoefficientWPerM2K">Coefficient from bark to surroundings through all layers. [W/m²K]</param>
public readonly record struct StemTemperatures(
    double MeanC,
    double PatchC,
    double OuterPatchC,
    double EquilibriumC,
    double OuterEquilibriumC,
    double ConvectionWPerM2K,
    double RadiationWPerM2K,
    double CoefficientWPerM2K);

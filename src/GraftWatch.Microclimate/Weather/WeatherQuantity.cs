namespace GraftWatch.Microclimate.Weather;

/// <summary>One hourly column of weather; the unit and the meaning of the stamp are part of the name.</summary>
/// <remarks>The stamp is the end of the hour. Instants are values at the stamp; means, sums and maxima are over the hour before it.</remarks>
public enum WeatherQuantity
{
    /// <summary>Air temperature at 2 m, instant. [°C]</summary>
    AirC,

    /// <summary>Relative humidity at 2 m over water, instant. [%], 0 to 100.</summary>
    HumidityPct,

    /// <summary>Dew point at 2 m over water, instant. [°C]</summary>
    DewPointC,

    /// <summary>Mean wind speed at 10 m, instant. [m/s]</summary>
    WindMPerS,

    /// <summary>Strongest gust at 10 m in the hour before. [m/s]</summary>
    GustMPerS,

    /// <summary>Direction the wind blows from, clockwise from north, instant. [°]</summary>
    WindFromDeg,

    /// <summary>Global irradiance on the horizontal, mean of the hour before. [W/m²]</summary>
    GlobalWPerM2,

    /// <summary>Beam irradiance on the horizontal, mean of the hour before. [W/m²]</summary>
    DirectHorizontalWPerM2,

    /// <summary>Diffuse irradiance on the horizontal, mean of the hour before. [W/m²]</summary>
    DiffuseWPerM2,

    /// <summary>Beam irradiance normal to the sun, mean of the hour before. [W/m²]</summary>
    DirectNormalWPerM2,

    /// <summary>Precipitation (rain, showers and melted snow), sum of the hour before. [mm]</summary>
    PrecipitationMm,

    /// <summary>Fresh snow, sum of the hour before. [cm]</summary>
    SnowfallCm,

    /// <summary>Cloud cover, instant. [-], 0 to 1.</summary>
    CloudFrac,

    /// <summary>Temperature of the ground's skin, instant. [°C]</summary>
    SkinC,

    /// <summary>Soil temperature near 6 cm, instant. [°C]</summary>
    SoilShallowC,

    /// <summary>Soil temperature near 18 cm, instant. [°C]</summary>
    SoilDeepC,

    /// <summary>Volumetric soil water near 3-9 cm, instant. [m³/m³]</summary>
    SoilWaterM3PerM3,

    /// <summary>Reference evapotranspiration as the source gives it, sum of the hour before. [mm]</summary>
    ReferenceEtMm,

    /// <summary>Air pressure at the ground, instant. [kPa]</summary>
    PressureKPa,
}

/// <summary>Where one hour's value came from.</summary>
public enum WeatherOrigin : byte
{
    /// <summary>There is no value; it reads as NaN.</summary>
    Missing = 0,

    /// <summary>Measured by an instrument at or near the place.</summary>
    Measured,

    /// <summary>A past hour as a weather model analysed it.</summary>
    Analysed,

    /// <summary>A future hour as a weather model forecasts it.</summary>
    Forecast,

    /// <summary>Computed here from other columns by a named formula.</summary>
    Derived,
}

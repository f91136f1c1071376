using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Forecasts.Quality;

/// <summary>The values an hour near the ground can have. A value outside is a fault of the source and is treated as missing, never clamped.</summary>
/// <remarks>
/// Common practice, no single source: wide enough for the record extremes of the WMO archive of weather extremes (air -89.2 to 56.7 °C,
/// gust 113 m/s), narrow enough for the known faults of model output (RH 130 %, temperature 999, radiation of minus half a million).
/// </remarks>
public static class PhysicalRange
{
    /// <summary>Lowest and highest value of a quantity, in its own unit, both allowed.</summary>
    public static (double Low, double High) Of(WeatherQuantity quantity) => quantity switch
    {
        WeatherQuantity.AirC => (-90, 60),
        WeatherQuantity.HumidityPct => (0, 100),
        WeatherQuantity.DewPointC => (-100, 45),
        WeatherQuantity.WindMPerS => (0, 75),
        WeatherQuantity.GustMPerS => (0, 115),
        WeatherQuantity.WindFromDeg => (0, 360),
        WeatherQuantity.GlobalWPerM2 => (0, 1400),
        WeatherQuantity.DirectHorizontalWPerM2 => (0, 1400),
        WeatherQuantity.DiffuseWPerM2 => (0, 1000),
        WeatherQuantity.DirectNormalWPerM2 => (0, 1400),
        WeatherQuantity.PrecipitationMm => (0, 310),
        WeatherQuantity.SnowfallCm => (0, 50),
        WeatherQuantity.CloudFrac => (0, 1),
        WeatherQuantity.SkinC => (-100, 95),
        WeatherQuantity.SoilShallowC => (-50, 80),
        WeatherQuantity.SoilDeepC => (-50, 70),
        WeatherQuantity.SoilWaterM3PerM3 => (0, 0.9),
        WeatherQuantity.ReferenceEtMm => (-0.5, 3),
        WeatherQuantity.PressureKPa => (45, 110),
        _ => (double.NegativeInfinity, double.PositiveInfinity),
    };

    /// <summary>Whether a value is possible; NaN is not.</summary>
    public static bool Holds(WeatherQuantity quantity, double value)
    {
        (double low, double high) = Of(quantity);
        return value >= low && value <= high;
    }
}

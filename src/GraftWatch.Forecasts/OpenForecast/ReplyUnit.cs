using System.Text.Json;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>The unit strings the open forecast API writes in <c>hourly_units</c>.</summary>
internal enum ReplyUnit : byte
{
    NotGiven = 0,
    Undefined,
    Other,
    Celsius,
    Fahrenheit,
    Percent,
    MetresPerSecond,
    KilometresPerHour,
    MilesPerHour,
    Knots,
    Degrees,
    WattsPerSquareMetre,
    Millimetres,
    Centimetres,
    Inches,
    CubicMetresPerCubicMetre,
    Hectopascals,
}

/// <summary>What kind of number a column holds, whatever unit it came in.</summary>
internal enum ReplyMeasure : byte
{
    Temperature = 0,
    Percent,
    Fraction,
    Speed,
    Direction,
    Irradiance,
    WaterDepth,
    SnowDepth,
    SoilWater,
    Pressure,
}

/// <summary>Value in our unit = scale × value as written + offset.</summary>
internal readonly record struct UnitConversion(double Scale, double Offset)
{
    public double Apply(double written) => (Scale * written) + Offset;
}

/// <summary>Reads unit strings and says how to convert them.</summary>
internal static class ReplyUnits
{
    public static ReplyUnit Read(ref Utf8JsonReader reader) =>
        reader.ValueTextEquals("°C"u8) ? ReplyUnit.Celsius
        : reader.ValueTextEquals("%"u8) ? ReplyUnit.Percent
        : reader.ValueTextEquals("m/s"u8) ? ReplyUnit.MetresPerSecond
        : reader.ValueTextEquals("W/m²"u8) ? ReplyUnit.WattsPerSquareMetre
        : reader.ValueTextEquals("mm"u8) ? ReplyUnit.Millimetres
        : reader.ValueTextEquals("undefined"u8) ? ReplyUnit.Undefined
        : reader.ValueTextEquals("cm"u8) ? ReplyUnit.Centimetres
        : reader.ValueTextEquals("m³/m³"u8) ? ReplyUnit.CubicMetresPerCubicMetre
        : reader.ValueTextEquals("°"u8) ? ReplyUnit.Degrees
        : reader.ValueTextEquals("hPa"u8) ? ReplyUnit.Hectopascals
        : reader.ValueTextEquals("km/h"u8) ? ReplyUnit.KilometresPerHour
        : reader.ValueTextEquals("mp/h"u8) || reader.ValueTextEquals("mph"u8) ? ReplyUnit.MilesPerHour
        : reader.ValueTextEquals("kn"u8) ? ReplyUnit.Knots
        : reader.ValueTextEquals("°F"u8) ? ReplyUnit.Fahrenheit
        : reader.ValueTextEquals("inch"u8) ? ReplyUnit.Inches
        : ReplyUnit.Other;

    /// <summary>How to bring a column to our unit; false when the unit does not fit the measure.</summary>
    /// <remarks>The factors are exact by definition (international mile 1609.344 m, nautical mile 1852 m, inch 25.4 mm).</remarks>
    public static bool TryConversion(ReplyMeasure measure, ReplyUnit unit, out UnitConversion conversion)
    {
        UnitConversion? found = (measure, unit) switch
        {
            (ReplyMeasure.Temperature, ReplyUnit.Celsius) => new(1, 0),
            (ReplyMeasure.Temperature, ReplyUnit.Fahrenheit) => new(5.0 / 9.0, -160.0 / 9.0),
            (ReplyMeasure.Percent, ReplyUnit.Percent) => new(1, 0),
            (ReplyMeasure.Fraction, ReplyUnit.Percent) => new(0.01, 0),
            (ReplyMeasure.Speed, ReplyUnit.MetresPerSecond) => new(1, 0),
            (ReplyMeasure.Speed, ReplyUnit.KilometresPerHour) => new(1 / 3.6, 0),
            (ReplyMeasure.Speed, ReplyUnit.MilesPerHour) => new(0.44704, 0),
            (ReplyMeasure.Speed, ReplyUnit.Knots) => new(1852.0 / 3600.0, 0),
            (ReplyMeasure.Direction, ReplyUnit.Degrees) => new(1, 0),
            (ReplyMeasure.Irradiance, ReplyUnit.WattsPerSquareMetre) => new(1, 0),
            (ReplyMeasure.WaterDepth, ReplyUnit.Millimetres) => new(1, 0),
            (ReplyMeasure.WaterDepth, ReplyUnit.Inches) => new(25.4, 0),
            (ReplyMeasure.SnowDepth, ReplyUnit.Centimetres) => new(1, 0),
            (ReplyMeasure.SnowDepth, ReplyUnit.Inches) => new(2.54, 0),
            (ReplyMeasure.SoilWater, ReplyUnit.CubicMetresPerCubicMetre) => new(1, 0),
            (ReplyMeasure.Pressure, ReplyUnit.Hectopascals) => new(0.1, 0),
            _ => null,
        };
        conversion = found ?? default;
        return found is not null;
    }
}

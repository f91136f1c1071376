using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Settings.Quantities;

/// <summary>A kind of number people write with a unit, and the units it may be written in.</summary>
/// <remarks>Conversions are exact decimal arithmetic: 95 °F is 35 °C and 0.3 in is 7.62 mm, not a hair beside.</remarks>
public sealed class Quantity
{
    private Quantity(string name, string keptSymbol, string example, bool bareAllowed, params Unit[] units)
    {
        Name = name;
        KeptSymbol = keptSymbol;
        Example = example;
        BareAllowed = bareAllowed;
        Units = units;
    }

    /// <summary>Name with its article, such as "a temperature".</summary>
    public string Name { get; }

    /// <summary>Symbol of the unit numbers are kept in; empty for a bare number.</summary>
    public string KeptSymbol { get; }

    /// <summary>A value as a person writes it.</summary>
    public string Example { get; }

    /// <summary>Whether a number without unit is understood.</summary>
    public bool BareAllowed { get; }

    /// <summary>Units it may be written in, the kept one first.</summary>
    internal IReadOnlyList<Unit> Units { get; }

    /// <summary>Temperature.</summary>
    public static Quantity Temperature { get; } = new("a temperature", "°C", "38 °C", false, new("°C", 1, 1, 0, "℃", "C", "degC"), new("°F", 5, 9, -32, "℉", "F", "degF"));

    /// <summary>Temperature difference; degrees Fahrenheit and Celsius are differences here.</summary>
    public static Quantity TemperatureDifference { get; } = new("a temperature difference", "K", "5 K", false, new("K", 1, 1), new("°C", 1, 1, 0, "℃", "C"), new("°F", 5, 9, 0, "℉", "F"));

    /// <summary>Speed.</summary>
    public static Quantity Speed { get; } = new("a speed", "m/s", "45 km/h", false, new("m/s", 1, 1, 0, "mps"), new("km/h", 10, 36, 0, "kmh", "kph"), new("mph", 44704, 100000, 0, "mi/h"), new("kn", 1852, 3600, 0, "kt", "kts"));

    /// <summary>Depth of rain.</summary>
    public static Quantity Rain { get; } = new("a depth of rain", "mm", "8 mm", false, new("mm", 1, 1, 0, "l/m²", "l/m2"), new("cm", 10, 1), new("in", 254, 10, 0, "inch", "inches", "\""));

    /// <summary>Length.</summary>
    public static Quantity Length { get; } = new("a length", "m", "20 cm", false, new("m", 1, 1), new("cm", 1, 100), new("mm", 1, 1000), new("km", 1000, 1), new("in", 254, 10000, 0, "inch", "inches", "\""), new("ft", 3048, 10000, 0, "feet", "'"));

    /// <summary>Vapour pressure.</summary>
    public static Quantity Pressure { get; } = new("a pressure", "kPa", "1.5 kPa", false, new("kPa", 1, 1), new("hPa", 1, 10, 0, "mbar"), new("Pa", 1, 1000), new("bar", 100, 1));

    /// <summary>Irradiance.</summary>
    public static Quantity Irradiance { get; } = new("an irradiance", "W/m²", "600 W/m²", false, new Unit("W/m²", 1, 1, 0, "W/m2", "W/m^2"));

    /// <summary>Duration kept in hours.</summary>
    public static Quantity Hours { get; } = new("a time span", "h", "48 h", false, HourUnits(60));

    /// <summary>Duration kept in days; a month is a twelfth of a year of 365.25 days.</summary>
    public static Quantity Days { get; } = new("a time span", "days", "2 weeks", false, new("days", 1, 1, 0, "day", "d"), new("weeks", 7, 1, 0, "week", "wk", "w"), new("months", 1461, 48, 0, "month"), new("years", 1461, 4, 0, "year"), new("h", 1, 24, 0, "hour", "hours"));

    /// <summary>Minutes of work.</summary>
    public static Quantity Minutes { get; } = new("a working time", "min", "15 min", false, new("min", 1, 1, 0, "minute", "minutes"), new("h", 60, 1, 0, "hour", "hours"), new("s", 1, 60, 0, "second", "seconds"));

    /// <summary>A share of one.</summary>
    public static Quantity Fraction { get; } = new("a share", string.Empty, "80 %", true, new(string.Empty, 1, 1), new("%", 1, 100, 0, "percent", "per cent"));

    /// <summary>A bare number.</summary>
    public static Quantity Index { get; } = new("a bare number", string.Empty, "0.6", true, new Unit(string.Empty, 1, 1));

    /// <summary>Strength of wood, kept in Pa.</summary>
    public static Quantity Strength { get; } = new("a strength", "Pa", "55 MPa", false, new("Pa", 1, 1), new("MPa", 1000000, 1, 0, "N/mm²", "N/mm2"), new("kPa", 1000, 1), new("GPa", 1000000000, 1));

    /// <summary>Thermal resistance of an air gap.</summary>
    public static Quantity ThermalResistance { get; } = new("a thermal resistance", "m²K/W", "0.03 m²K/W", false, new Unit("m²K/W", 1, 1, 0, "m2K/W", "m²·K/W", "m² K/W", "m2 K/W", "K·m²/W", "Km²/W"));

    /// <summary>An angle in degrees; a bare number is understood, as coordinates are written.</summary>
    public static Quantity Angle { get; } = new("an angle in degrees", "°", "12.5", true, new Unit("°", 1, 1, 0, string.Empty, "deg"));

    /// <summary>The quantity of a kind of threshold; a stage's name is not a number and has none.</summary>
    public static Quantity? Of(UnitKind kind) => kind switch
    {
        UnitKind.TemperatureC => Temperature,
        UnitKind.TemperatureDifferenceK => TemperatureDifference,
        UnitKind.SpeedMPerS => Speed,
        UnitKind.RainMm => Rain,
        UnitKind.LengthM => Length,
        UnitKind.PressureKPa => Pressure,
        UnitKind.IrradianceWPerM2 => Irradiance,
        UnitKind.DurationHours => Hours,
        UnitKind.DurationDays => Days,
        UnitKind.Fraction => Fraction,
        UnitKind.Index => Index,
        UnitKind.Minutes => Minutes,
        UnitKind.StageName => null,
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "No such kind of unit."),
    };

    /// <summary>Every quantity, for tests and the reference.</summary>
    public static IReadOnlyList<Quantity> All { get; } =
    [
        Temperature, TemperatureDifference, Speed, Rain, Length, Pressure, Irradiance, Hours, Days, Minutes, Fraction, Index, Strength, ThermalResistance, Angle,
    ];

    /// <summary>The units as words: "°C or °F".</summary>
    public string UnitsInWords()
    {
        string[] symbols = Units.Select(u => u.Symbol).Where(s => s.Length > 0).ToArray();
        string words = symbols.Length switch
        {
            0 => string.Empty,
            1 => symbols[0],
            _ => string.Join(", ", symbols[..^1]) + " or " + symbols[^1],
        };
        return BareAllowed && words.Length > 0 ? words + ", or bare" : words;
    }

    private static Unit[] HourUnits(int minutesAnHour) =>
    [
        new("h", 1, 1, 0, "hour", "hours"), new("min", 1, minutesAnHour, 0, "minute", "minutes"), new("days", 24, 1, 0, "day", "d"), new("weeks", 168, 1, 0, "week", "wk", "w"),
    ];
}

/// <summary>A unit as it is written: kept = (written + offset) · numerator / denominator.</summary>
internal sealed class Unit(string symbol, decimal numerator, decimal denominator, decimal offset = 0, params string[] alsoWritten)
{
    internal string Symbol { get; } = symbol;

    internal IReadOnlyList<string> Spellings { get; } = [symbol, .. alsoWritten];

    internal bool IsKept { get; } = numerator == denominator && offset == 0;

    internal decimal ToKept(decimal written) => (written + offset) * numerator / denominator;
}

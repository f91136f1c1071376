namespace GraftWatch.Aftercare.Thresholds;

/// <summary>Declares one number a grower may set in thresholds.toml.</summary>
/// <param name="Key">Dotted path in the file, such as <c>heat.cambium.act</c>. Keys ending in note, act and urgent form a trio of levels.</param>
/// <param name="Unit">Kind of unit the value is written in.</param>
/// <param name="Minimum">Lowest physical value, in SI of the unit kind.</param>
/// <param name="Maximum">Highest physical value.</param>
/// <param name="Direction">For levels: whether danger rises or falls with the number; <see cref="LevelDirection.None"/> for plain values.</param>
/// <param name="Meaning">What it does, in grower's words.</param>
public sealed record SettingDefinition(string Key, UnitKind Unit, double Minimum, double Maximum, LevelDirection Direction, string Meaning);

/// <summary>Kinds of units a value in the files may carry; the number is kept in the unit named here.</summary>
public enum UnitKind
{
    /// <summary>Temperature, kept in °C.</summary>
    TemperatureC,

    /// <summary>Temperature difference, kept in K.</summary>
    TemperatureDifferenceK,

    /// <summary>Speed, kept in m/s.</summary>
    SpeedMPerS,

    /// <summary>Rain depth, kept in mm.</summary>
    RainMm,

    /// <summary>Length, kept in m.</summary>
    LengthM,

    /// <summary>Vapour pressure, kept in kPa.</summary>
    PressureKPa,

    /// <summary>Irradiance, kept in W/m².</summary>
    IrradianceWPerM2,

    /// <summary>Duration, kept in hours.</summary>
    DurationHours,

    /// <summary>Duration, kept in days.</summary>
    DurationDays,

    /// <summary>A share, kept 0 to 1; a percent sign is understood.</summary>
    Fraction,

    /// <summary>A bare number without unit.</summary>
    Index,

    /// <summary>Minutes of work.</summary>
    Minutes,

    /// <summary>A stage's name, kept as its ordinal.</summary>
    StageName,
}

/// <summary>Which way danger lies.</summary>
public enum LevelDirection
{
    /// <summary>Not a level.</summary>
    None = 0,

    /// <summary>Danger rises with the number: note ≤ act ≤ urgent.</summary>
    Rising,

    /// <summary>Danger rises as the number falls: note ≥ act ≥ urgent.</summary>
    Falling,
}

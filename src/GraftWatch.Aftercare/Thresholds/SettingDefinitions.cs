namespace GraftWatch.Aftercare.Thresholds;

/// <summary>Every number thresholds.toml may hold.</summary>
public static class SettingDefinitions
{
    /// <summary>All definitions, in the order of the file.</summary>
    public static IReadOnlyList<SettingDefinition> All { get; } =
    [
        new("heat.cambium.note", UnitKind.TemperatureC, 15, 60, LevelDirection.Rising, "Cambium temperature worth knowing."),
        new("heat.cambium.act", UnitKind.TemperatureC, 15, 60, LevelDirection.Rising, "Cambium temperature at which shade is due."),
        new("heat.cambium.urgent", UnitKind.TemperatureC, 15, 60, LevelDirection.Rising, "Cambium temperature at which shade comes first."),
    ];
}

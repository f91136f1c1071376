using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Quantities;
using GraftWatch.Settings.Toml;

namespace GraftWatch.Settings.Handbooks;

/// <summary>Reads and writes single thresholds by their declaration.</summary>
public static class ThresholdKeys
{
    /// <summary>A value as the file writes it, in the unit of its declaration: <c>38 °C</c>, <c>callus</c>, <c>0.6</c>.</summary>
    public static string Write(SettingDefinition definition, double value) => Quantity.Of(definition.Unit) is { } quantity
        ? Units.Write(value, quantity)
        : TradeNames.Key((Stage)(int)value);

    /// <summary>The same, rounded for people.</summary>
    public static string Show(SettingDefinition definition, double value) => Quantity.Of(definition.Unit) is { } quantity
        ? definition.Unit == UnitKind.Fraction ? Units.Number(Math.Round(value * 100, 1)) + " %" : Units.Show(value, quantity)
        : TradeNames.Key((Stage)(int)value);

    internal static KeySpec SpecOf(SettingDefinition definition)
    {
        string name = definition.Key[(definition.Key.LastIndexOf('.') + 1)..];
        return Quantity.Of(definition.Unit) is { } quantity
            ? KeySpec.Number(name, quantity, definition.Minimum, definition.Maximum, definition.Meaning, Example(definition, quantity))
            : KeySpec.OneOf(name, TradeNames.Stages, definition.Meaning);
    }

    /// <summary>Reads one value; null, with a fault, when it is none.</summary>
    internal static double? Read(SettingDefinition definition, string path, TomlEntry entry, FaultList faults)
    {
        KeySpec spec = SpecOf(definition);
        var table = new TomlTable(entry.Line, entry.Column);
        table.TryAdd(entry);
        var reader = new TableReader(table, path, new TableSpec(path, spec), faults);
        if (spec.Kind == KeyKind.Quantity)
        {
            double value = reader.Number(spec);
            return double.IsNaN(value) ? null : value;
        }

        return TradeNames.TryParse(reader.Word(spec, "?"), out Stage stage) ? (int)stage : null;
    }

    private static string Example(SettingDefinition definition, Quantity quantity)
    {
        UnitReading usual = Units.Parse(quantity.Example, quantity);
        double value = usual.Value >= definition.Minimum && usual.Value <= definition.Maximum
            ? usual.Value
            : Math.Round((definition.Minimum + definition.Maximum) / 2, 2);
        string text = usual.Value == value ? quantity.Example : Units.Write(value, quantity);
        return quantity.BareAllowed && !text.Contains('%', StringComparison.Ordinal) ? text : $"\"{text}\"";
    }
}

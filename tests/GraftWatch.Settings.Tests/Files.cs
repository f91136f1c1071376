using System.Text;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Settings.Tests;

/// <summary>Loads settings from text.</summary>
internal static class Files
{
    internal static Loaded<Handbook> Thresholds(string text) => Thresholds(Encoding.UTF8.GetBytes(text));

    internal static Loaded<Handbook> Thresholds(byte[] bytes) => SettingsLoader.ReadHandbook(HandbookFiles.Shipped with { Thresholds = SourceText.FromMemory("thresholds.toml", bytes) });

    internal static Loaded<Handbook> Species(string text) => SettingsLoader.ReadHandbook(HandbookFiles.Shipped with { Species = SourceText.FromMemory("species.toml", Encoding.UTF8.GetBytes(text)) });

    internal static Loaded<Handbook> Materials(string text) => SettingsLoader.ReadHandbook(HandbookFiles.Shipped with { Materials = SourceText.FromMemory("materials.toml", Encoding.UTF8.GetBytes(text)) });

    internal static Loaded<GraftWatchSettings> Installation(string text) => SettingsLoader.ReadGraftWatch(SourceText.FromMemory("graftwatch.toml", Encoding.UTF8.GetBytes(text)), string.Empty);

    internal static string Shipped(string name) => Encoding.UTF8.GetString(ShippedDefaults.Read(name));

    /// <summary>The thresholds of a text that has to be right.</summary>
    internal static ThresholdSet Right(string text)
    {
        Loaded<Handbook> loaded = Thresholds(text);
        Assert.True(loaded.IsValid, loaded.ToString());
        return loaded.Value.Thresholds;
    }

    internal static SettingsFault OnlyFault<T>(Loaded<T> loaded)
        where T : class
    {
        Assert.False(loaded.IsValid);
        return Assert.Single(loaded.Faults);
    }

    internal static void At(SettingsFault fault, int line, int column, string key)
    {
        Assert.Equal((line, column, key), (fault.Line, fault.Column, fault.Key));
    }
}

using GraftWatch.Serving;
using GraftWatch.Settings;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>Edited files and what is in force, on a real folder.</summary>
public sealed class SettingsInForceTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-").FullName;

    public SettingsInForceTests()
    {
        File.WriteAllBytes(PathOf("graftwatch.toml"), ShippedDefaults.Read("graftwatch.toml"));
        File.WriteAllText(PathOf("thresholds.toml"), "heat.cambium.act = \"36 °C\"\n");
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);

    // The locked file stands for one that its owner has not yet made readable: neither changes its length or time when it opens.
    [Fact]
    public void A_file_that_could_not_be_read_is_read_again_though_its_length_and_time_stay()
    {
        SettingsInForce settings = Load();
        File.WriteAllText(PathOf("thresholds.toml"), "heat.cambium.act = \"37 °C\"\n");
        using (new FileStream(PathOf("thresholds.toml"), FileMode.Open, FileAccess.Read, FileShare.None))
        {
            Assert.Equal(SettingsLook.Refused, settings.Look());
            Assert.Contains("cannot be read", Assert.Single(settings.Refused), StringComparison.Ordinal);
            Assert.Equal(SettingsLook.Unchanged, settings.Look());
        }

        Assert.Equal(SettingsLook.TakenOver, settings.Look());
        Assert.Empty(settings.Refused);
        Assert.Equal("heat.cambium.act: 36 °C → 37 °C", Assert.Single(settings.Changes));
        Assert.Equal(SettingsLook.Unchanged, settings.Look());
    }

    private SettingsInForce Load()
    {
        SettingsInForce? settings = SettingsInForce.Load(folder, out IReadOnlyList<string> faults);
        Assert.Empty(faults);
        return settings!;
    }

    private string PathOf(string name) => Path.Combine(folder, name);
}

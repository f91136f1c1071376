using GraftWatch.Serving;
using GraftWatch.Settings;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>Edited files and what is in force, on a real folder.</summary>
public sealed class SettingsInForceTests : IDisposable
{
    private static readonly Instant Start = Instant.FromUtc(2026, 5, 14, 4, 0);
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
            Assert.Equal(SettingsLook.Refused, settings.Look(Start));
            Assert.Contains("cannot be read", Assert.Single(settings.Refused), StringComparison.Ordinal);
            Assert.Equal(SettingsLook.Unchanged, settings.Look(Start + Duration.FromSeconds(30)));
        }

        Assert.Equal(SettingsLook.Waiting, settings.Look(Start + Duration.FromSeconds(60)));
        Assert.Equal(SettingsLook.TakenOver, settings.Look(Start + Duration.FromSeconds(63)));
        Assert.Empty(settings.Refused);
        Assert.Equal("heat.cambium.act: 36 °C → 37 °C", Assert.Single(settings.Changes));
        Assert.Equal(SettingsLook.Unchanged, settings.Look(Start + Duration.FromSeconds(90)));
    }

    [Fact]
    public void A_file_that_is_cut_short_while_it_is_saved_never_brings_the_shipped_values_into_force()
    {
        SettingsInForce settings = Load();
        ServeSettings before = settings.Current;
        File.WriteAllText(PathOf("thresholds.toml"), string.Empty);
        Assert.Equal(SettingsLook.Waiting, settings.Look(Start));
        Assert.Equal(SettingsLook.Waiting, settings.Look(Start + Duration.FromSeconds(10)));
        File.WriteAllText(PathOf("thresholds.toml"), "heat.cambium.act = \"37 °C\"\n");
        Assert.Equal(SettingsLook.Waiting, settings.Look(Start + Duration.FromSeconds(12)));
        Assert.Same(before, settings.Current);
        Assert.Equal(SettingsLook.TakenOver, settings.Look(Start + Duration.FromSeconds(15)));
        Assert.Equal("heat.cambium.act: 36 °C → 37 °C", Assert.Single(settings.Changes));
    }

    [Fact]
    public void A_file_that_is_gone_is_refused_and_may_come_back()
    {
        SettingsInForce settings = Load();
        File.Move(PathOf("thresholds.toml"), PathOf("thresholds.old"));
        Assert.Equal(SettingsLook.Waiting, settings.Look(Start));
        Assert.Equal(SettingsLook.Refused, settings.Look(Start + Duration.FromSeconds(16)));
        Assert.Contains("is gone", Assert.Single(settings.Refused), StringComparison.Ordinal);
        Assert.Contains("refused", settings.Current.Morning.Notice, StringComparison.Ordinal);
        File.Move(PathOf("thresholds.old"), PathOf("thresholds.toml"));
        Assert.Equal(SettingsLook.TakenOver, settings.Look(Start + Duration.FromSeconds(30)));
        Assert.Empty(settings.Refused);
        Assert.Empty(settings.Changes);
    }

    private SettingsInForce Load()
    {
        SettingsInForce? settings = SettingsInForce.Load(folder, out IReadOnlyList<string> faults);
        Assert.Empty(faults);
        return settings!;
    }

    private string PathOf(string name) => Path.Combine(folder, name);
}

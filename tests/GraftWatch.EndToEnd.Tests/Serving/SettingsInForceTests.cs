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

    [Fact]
    public void What_is_read_once_at_the_start_is_told_with_its_line_and_not_called_in_force()
    {
        File.WriteAllText(PathOf("graftwatch.toml"), Smallest("mail.example.org", "127.0.0.1:8620"));
        SettingsInForce settings = Load();
        Assert.Null(settings.NeedsRestart);
        Edit(settings, Smallest("other.example.org", "127.0.0.1:8620"), 0);
        Assert.Equal($"mail.host was changed at line 14 of {PathOf("graftwatch.toml")}; restart graftwatch to use it", settings.NeedsRestart);
        Assert.Empty(settings.Changes);
        Assert.Equal("mail.example.org", settings.Current.Installation.Mail!.Host);

        Edit(settings, Smallest("other.example.org", "127.0.0.1:8630", "subscriptions = true\n[weather]\nsources = [\"met-norway\"]\ncontact = \"ada@example.org\"\n"), 60);
        Assert.Equal($"mail.host (line 14), page.listen (line 18), weather.sources (line 21), weather.contact (line 22) were changed in {PathOf("graftwatch.toml")}; restart graftwatch to use them", settings.NeedsRestart);
        Assert.Equal("page.subscriptions: false → true", Assert.Single(settings.Changes));
        Assert.True(settings.Current.Installation.Page.Subscriptions);

        Edit(settings, Smallest("mail.example.org", "127.0.0.1:8620"), 120);
        Assert.Null(settings.NeedsRestart);
        Assert.Equal("page.subscriptions: true → false", Assert.Single(settings.Changes));
    }

    [Fact]
    public void A_new_place_with_its_own_weather_service_is_in_force_and_its_service_waits_for_a_restart()
    {
        File.WriteAllText(PathOf("graftwatch.toml"), Smallest("mail.example.org", "127.0.0.1:8620"));
        SettingsInForce settings = Load();
        Edit(settings, Smallest("mail.example.org", "127.0.0.1:8620", """

            [[place]]
            name = "Dell. No. 2"
            latitude = 59
            longitude = 10
            elevation = "12 m"
            zone = "Europe/Oslo"
            sources = ["open-meteo"]

            """), 0);
        Assert.Equal(2, settings.Current.Installation.Places.Count);
        Assert.StartsWith("place.Dell. No. 2.sources was changed at line 26 of ", settings.NeedsRestart, StringComparison.Ordinal);
    }

    [Fact]
    public void Where_the_command_line_says_where_to_listen_a_change_of_listen_waits_for_nothing()
    {
        File.WriteAllText(PathOf("graftwatch.toml"), Smallest("mail.example.org", "127.0.0.1:8620"));
        SettingsInForce settings = Load();
        settings.ListensAsTold = true;
        Edit(settings, Smallest("mail.example.org", "127.0.0.1:8630"), 0);
        Assert.Null(settings.NeedsRestart);
    }

    private void Edit(SettingsInForce settings, string text, int atSeconds)
    {
        File.WriteAllText(PathOf("graftwatch.toml"), text);
        Instant at = Start + Duration.FromSeconds(atSeconds);
        settings.Look(at);
        Assert.Equal(SettingsLook.TakenOver, settings.Look(at + Duration.FromSeconds(16)));
    }

    private static string Smallest(string host, string listen, string more = "") => $$"""
        [[place]]
        name = "Home orchard"
        latitude = 51
        longitude = 7
        elevation = "120 m"
        zone = "Europe/Berlin"

        [[grower]]
        name = "Ada"
        address = "ada@example.org"

        [mail]
        from = "graftwatch@example.org"
        host = "{{host}}"
        security = "tls"

        [page]
        listen = "{{listen}}"
        {{more}}
        """;

    private SettingsInForce Load()
    {
        SettingsInForce? settings = SettingsInForce.Load(folder, out IReadOnlyList<string> faults);
        Assert.Empty(faults);
        return settings!;
    }

    private string PathOf(string name) => Path.Combine(folder, name);
}

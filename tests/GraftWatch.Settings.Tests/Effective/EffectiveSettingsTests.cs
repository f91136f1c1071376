using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Handbooks;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Keys;

namespace GraftWatch.Settings.Tests.Effective;

public sealed class EffectiveSettingsTests
{
    private static readonly Handbook Shipped = SettingsLoader.LoadHandbook(folder: null).Value!;

    [Fact]
    public void The_value_in_force_for_a_graft_names_its_line_and_for_whom_it_stands()
    {
        ThresholdSet set = Files.Right("[[wind.gust.where]]\nspecies = [\"fig\"]\nact = \"55 km/h\"\nurgent = \"20 m/s\"\nsource = \"my own gauge\"\n");
        var fig = new Subject("fig", Technique.TBud, Stage.Run, "none", "rubber", "Home");

        IReadOnlyList<EffectiveSetting> all = EffectiveSettings.For(set, fig);

        Assert.Equal(SettingDefinitions.All.Select(d => d.Key), all.Select(s => s.Key));
        EffectiveSetting act = all.Single(s => s.Key == "wind.gust.act");
        Assert.Equal(("15.278 m/s", "species fig", "thresholds.toml:3", "my own gauge"), (act.Value, act.ForWhom, act.Where, act.Setting.Source));
        EffectiveSetting note = all.Single(s => s.Key == "wind.gust.note");
        Assert.Equal(("13.9 m/s", "everybody"), (note.Value, note.ForWhom));
        Assert.StartsWith("thresholds.toml (shipped):", note.Where, StringComparison.Ordinal);
        Assert.Contains("wind.gust.act ", EffectiveSettings.ToText(all), StringComparison.Ordinal);
    }

    [Fact]
    public void The_line_named_in_the_shipped_file_holds_the_value()
    {
        string[] lines = Files.Shipped("thresholds.toml").Split('\n');

        foreach (EffectiveSetting setting in EffectiveSettings.All(Shipped.Thresholds))
        {
            string name = setting.Key[(setting.Key.LastIndexOf('.') + 1)..];
            Assert.StartsWith(name + " =", lines[setting.Setting.Line - 1], StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Two_handbooks_differ_in_what_was_edited_and_in_nothing_else()
    {
        Handbook mine = Files.Thresholds("[[wind.gust.where]]\nspecies = [\"fig\"]\nact = \"15 m/s\"\n").Value!;
        Handbook species = Files.Species(Files.Shipped("species.toml").Replace("callus_retarded = \"32 °C\"", "callus_retarded = \"91 °F\"", StringComparison.Ordinal)).Value!;

        Assert.Equal(["wind.gust.act (species fig): new, 15 m/s"], SettingsDifference.Between(Shipped, mine).Select(c => c.ToString()));
        Assert.Equal(["wind.gust.act (species fig): gone, was 15 m/s"], SettingsDifference.Between(mine, Shipped).Select(c => c.ToString()));
        Assert.Empty(SettingsDifference.Between(mine, mine));
        Assert.Contains("species.apple.callus_retarded: 32 °C → 32.777777778 °C", SettingsDifference.Between(Shipped, species).Select(c => c.ToString()));
    }

    [Fact]
    public void A_difference_shows_every_key_a_file_can_hold()
    {
        string[] ends = FlatSettings.Of(Shipped).Keys.Select(k => k.Split(" (")[0]).ToArray();
        Covers("species", SpeciesKeys.SpeciesTable, ends);
        Covers("cover", MaterialKeys.CoverTable, ends);
        Covers("tie", MaterialKeys.TieTable, ends);
        Covers("seal", MaterialKeys.SealTable, ends);
        Assert.All(SettingDefinitions.All, d => Assert.Contains(d.Key, ends));

        string[] installation = FlatSettings.Of(Files.Installation(Files.Shipped("graftwatch.toml")).Value!).Keys.ToArray();
        Covers("place", InstallationKeys.PlaceTable, installation, "name");
        Covers("grower", InstallationKeys.GrowerTable, installation, "name");
        Covers("mail", InstallationKeys.MailTable, installation);
        Covers("weather", InstallationKeys.WeatherTable, installation);
    }

    private static void Covers(string table, TableSpec spec, string[] paths, params string[] except)
    {
        foreach (string key in spec.Names.Except(except))
        {
            Assert.Contains(paths, p => p.StartsWith(table + ".", StringComparison.Ordinal) && p.EndsWith("." + key, StringComparison.Ordinal));
        }
    }
}

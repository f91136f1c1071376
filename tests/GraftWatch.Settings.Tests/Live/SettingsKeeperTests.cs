using System.Globalization;
using System.Text;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Live;
using NodaTime;

namespace GraftWatch.Settings.Tests.Live;

public sealed class SettingsKeeperTests
{
    private static readonly StandingStill Still = new();
    private static readonly Instant Start = Instant.FromUtc(2026, 5, 14, 4, 0);

    private readonly Dictionary<string, byte[]?> files = new()
    {
        ["graftwatch.toml"] = ShippedDefaults.Read("graftwatch.toml"),
        ["thresholds.toml"] = ShippedDefaults.Read("thresholds.toml"),
    };

    private Instant now = Start;

    [Fact]
    public void Wrong_files_do_not_start()
    {
        files["thresholds.toml"] = Encoding.UTF8.GetBytes("heat.cambium.act = 38");
        files["graftwatch.toml"] = null;

        Loaded<SettingsKeeper> loaded = SettingsKeeper.Start(Bytes(), Still);

        Assert.Null(loaded.Value);
        Assert.Equal(["graftwatch.toml", "thresholds.toml"], loaded.Faults.Select(f => Path.GetFileName(f.File)));
    }

    [Fact]
    public void A_right_edit_comes_into_force_once_it_has_stood_still_and_says_what_changed()
    {
        SettingsKeeper keeper = Keeper();
        Replace("thresholds.toml", "act = \"36 °C\"", "act = \"37 °C\"");

        Assert.Equal(OutcomeKind.Nothing, keeper.Observe(Bytes(), now));
        Assert.True(keeper.IsWaiting);
        Assert.Equal(OutcomeKind.Nothing, After(keeper, 1));
        Assert.Equal(OutcomeKind.Accepted, After(keeper, 1));
        Assert.Equal("heat.cambium.act: 36 °C → 37 °C", Assert.Single(keeper.Current.Changes).ToString());
        Assert.False(keeper.IsWaiting);
        Assert.Equal(OutcomeKind.Nothing, After(keeper, 60));
    }

    [Fact]
    public void A_clock_that_is_set_back_does_not_hold_an_edit_until_it_has_caught_up()
    {
        SettingsKeeper keeper = Keeper();
        Replace("thresholds.toml", "act = \"36 °C\"", "act = \"37 °C\"");
        keeper.Observe(Bytes(), now);
        Assert.Equal(OutcomeKind.Nothing, After(keeper, -7200));
        Assert.Equal(OutcomeKind.Accepted, After(keeper, 2));
    }

    [Fact]
    public void A_wrong_edit_is_refused_whole_and_noticed_until_it_is_mended()
    {
        SettingsKeeper keeper = Keeper();
        IReadOnlyDictionary<string, string> before = FlatSettings.Of(keeper.Current.Handbook);
        byte[] right = files["thresholds.toml"]!;
        Replace("thresholds.toml", "note = \"32 °C\"", "note = \"30 °C\"");
        Replace("thresholds.toml", "act = \"36 °C\"", "act = \"36\"");
        Assert.Equal(OutcomeKind.Refused, Settle(keeper));

        Assert.Equal(before, FlatSettings.Of(keeper.Current.Handbook));
        SettingsFault fault = Assert.Single(keeper.Current.Refused);
        Assert.Equal(("thresholds.toml", "heat.cambium.act"), (Path.GetFileName(fault.File), fault.Key));
        Assert.Equal(OutcomeKind.Nothing, After(keeper, 60));
        Assert.Single(keeper.Current.Refused);

        files["thresholds.toml"] = right;
        Assert.Equal(OutcomeKind.TakenBack, keeper.Observe(Bytes(), now));
        Assert.Empty(keeper.Current.Refused);
    }

    [Fact]
    public void While_one_file_is_wrong_an_edit_of_another_waits_for_it()
    {
        SettingsKeeper keeper = Keeper();
        byte[] right = files["graftwatch.toml"]!;
        Replace("graftwatch.toml", "elevation = \"182 m\"", "elevation = 182");
        Settle(keeper);
        Replace("thresholds.toml", "act = \"36 °C\"", "act = \"37 °C\"");
        Assert.Equal(OutcomeKind.Refused, Settle(keeper));

        Assert.Equal("graftwatch.toml", Path.GetFileName(Assert.Single(keeper.Current.Refused).File));
        Assert.Equal("36 °C", FlatSettings.Of(keeper.Current.Handbook)["heat.cambium.act"]);
        files["graftwatch.toml"] = right;
        Assert.Equal(OutcomeKind.Accepted, Settle(keeper));
        Assert.Equal("37 °C", FlatSettings.Of(keeper.Current.Handbook)["heat.cambium.act"]);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(4000)]
    public void A_file_that_is_the_beginning_of_what_it_was_waits_longer(int length)
    {
        SettingsKeeper keeper = Keeper();
        byte[] whole = files["thresholds.toml"]!;
        string beginning = Encoding.UTF8.GetString(whole, 0, length);
        files["thresholds.toml"] = Encoding.UTF8.GetBytes(beginning[..(beginning.LastIndexOf('\n') + 1)]);
        Assert.True(Files.Thresholds(files["thresholds.toml"]!).IsValid, "the point of this test: the beginning is a right file");

        SettingsSnapshot before = keeper.Current;
        keeper.Observe(Bytes(), now);
        Assert.Equal(OutcomeKind.Nothing, After(keeper, 10));
        files["thresholds.toml"] = whole;
        Assert.Equal(OutcomeKind.Nothing, After(keeper, 1));
        Assert.False(keeper.IsWaiting);
        Assert.Same(before, keeper.Current);
    }

    [Fact]
    public void A_file_that_is_gone_is_refused_and_the_shipped_values_do_not_slip_in()
    {
        SettingsKeeper keeper = Keeper();
        Replace("thresholds.toml", "act = \"36 °C\"", "act = \"37 °C\"");
        Settle(keeper);
        files["thresholds.toml"] = null;
        Settle(keeper);

        Assert.Equal("The file was here and is gone.", Assert.Single(keeper.Current.Refused).Problem);
        Assert.Equal("37 °C", FlatSettings.Of(keeper.Current.Handbook)["heat.cambium.act"]);
    }

    [Fact]
    public void A_file_that_appears_comes_into_force()
    {
        files.Remove("thresholds.toml");
        SettingsKeeper keeper = Keeper();
        files["thresholds.toml"] = Encoding.UTF8.GetBytes("heat.cambium.act = \"37 °C\"\n");
        Settle(keeper);

        Assert.Equal("37 °C", FlatSettings.Of(keeper.Current.Handbook)["heat.cambium.act"]);
    }

    [Fact]
    public void A_thousand_random_edits_half_of_them_broken_never_leave_half_a_file_in_force()
    {
        const int Seed = 20260514;
        var random = new Random(Seed);
        SettingsKeeper keeper = Keeper();
        Aftercare.Trade.Handbook inForce = keeper.Current.Handbook;
        byte[] lastRight = files["thresholds.toml"]!;
        int accepted = 0, refused = 0, hurried = 0;

        for (int edit = 0; edit < 1000; edit++)
        {
            files["thresholds.toml"] = random.Next(2) == 0 ? RightEdit(lastRight, random) : BrokenEdit(lastRight, random);
            keeper.Observe(Bytes(), now);
            Assert.Same(inForce, keeper.Current.Handbook);
            if (random.Next(10) == 0)
            {
                // The next edit comes before this one has stood still: it must leave no trace.
                hurried++;
                now += Duration.FromMilliseconds(random.Next(1900));
                continue;
            }

            Settle(keeper);
            Loaded<Aftercare.Trade.Handbook> whole = Files.Thresholds(files["thresholds.toml"]!);
            Assert.Equal(whole.IsValid, keeper.Current.Refused.Count == 0);
            Assert.Equal(whole.Faults.Count, keeper.Current.Refused.Count);
            if (whole.IsValid)
            {
                accepted++;
                lastRight = files["thresholds.toml"]!;
                inForce = keeper.Current.Handbook;
                Assert.True(FlatSettings.Of(whole.Value).SequenceEqual(FlatSettings.Of(inForce)), $"edit {edit} of seed {Seed}");
            }
            else
            {
                refused++;
                Assert.Same(inForce, keeper.Current.Handbook);
            }
        }

        Assert.True(accepted > 300 && refused > 300 && hurried > 50, $"accepted {accepted}, refused {refused}, hurried {hurried}");
    }

    private static byte[] RightEdit(byte[] text, Random random)
    {
        string[] keys = ["heat.cambium", "wind.gust", "frost.union"];
        string file = Encoding.UTF8.GetString(text);
        if (!keys.All(k => file.Contains($"[{k}]\n", StringComparison.Ordinal)))
        {
            file = Files.Shipped("thresholds.toml");
        }

        string added = keys[random.Next(keys.Length)] switch
        {
            "heat.cambium" => Levels("°C", 30 + random.Next(3), 34 + random.Next(3), 40 + random.Next(3)),
            "wind.gust" => Levels("km/h", 30 + random.Next(9), 45 + random.Next(9), 60 + random.Next(9)),
            _ => Levels("°F", 33, 32 - random.Next(3), 26 - random.Next(3)),
        };
        string header = added.Contains("km/h", StringComparison.Ordinal) ? "[wind.gust]" : added.Contains("°F", StringComparison.Ordinal) ? "[frost.union]" : "[heat.cambium]";
        int at = file.IndexOf(header, StringComparison.Ordinal);
        int end = file.IndexOf("source", at, StringComparison.Ordinal);
        return Encoding.UTF8.GetBytes(file[..(at + header.Length)] + "\n" + added + file[end..]);
    }

    private static string Levels(string unit, int note, int act, int urgent) =>
        string.Create(CultureInfo.InvariantCulture, $"note = \"{note} {unit}\"\nact = \"{act} {unit}\"\nurgent = \"{urgent} {unit}\"\n");

    private static byte[] BrokenEdit(byte[] text, Random random)
    {
        byte[] copy = [.. text];
        int at = random.Next(copy.Length);
        switch (random.Next(6))
        {
            case 0:
                return copy[..at];
            case 1:
                copy[at] = (byte)random.Next(256);
                return copy;
            case 2:
                random.NextBytes(copy.AsSpan(at, Math.Min(40, copy.Length - at)));
                return copy;
            case 3:
                return [.. copy[..at], .. Encoding.UTF8.GetBytes("\nheat.cambium.act = 37,5 °C\n"), .. copy[at..]];
            case 4:
                return [.. copy, .. Encoding.UTF8.GetBytes("\n[heat.cambum]\nnote = \"3 K\"\n")];
            default:
                return [.. copy, .. copy];
        }
    }

    private SettingsKeeper Keeper()
    {
        Loaded<SettingsKeeper> loaded = SettingsKeeper.Start(Bytes(), Still);
        Assert.True(loaded.IsValid, loaded.ToString());
        return loaded.Value;
    }

    private void Replace(string name, string before, string after)
    {
        string text = Encoding.UTF8.GetString(files[name]!);
        Assert.Contains(before, text, StringComparison.Ordinal);
        int at = text.IndexOf(before, StringComparison.Ordinal);
        files[name] = Encoding.UTF8.GetBytes(text[..at] + after + text[(at + before.Length)..]);
    }

    private OutcomeKind After(SettingsKeeper keeper, int seconds)
    {
        now += Duration.FromSeconds(seconds);
        return keeper.Observe(Bytes(), now);
    }

    private OutcomeKind Settle(SettingsKeeper keeper)
    {
        OutcomeKind at = keeper.Observe(Bytes(), now);
        OutcomeKind after = After(keeper, 20);
        return after == OutcomeKind.Nothing ? at : after;
    }

    private FolderBytes Bytes() => FolderBytes.FromMemory("settings", files);
}

using System.Globalization;
using System.Text;
using GraftWatch.Settings.Effective;
using GraftWatch.Settings.Live;
using NodaTime;

namespace GraftWatch.Settings.Tests.Live;

public sealed class SettingsKeeperTests
{
    private static readonly LiveSettingsOptions Options = new();
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

        Loaded<SettingsKeeper> loaded = SettingsKeeper.Start(Bytes(), Options, now);

        Assert.Null(loaded.Value);
        Assert.Equal(["graftwatch.toml", "thresholds.toml"], loaded.Faults.Select(f => Path.GetFileName(f.File)));
    }

    [Fact]
    public void A_right_edit_comes_into_force_once_it_has_stood_still_and_says_what_changed()
    {
        SettingsKeeper keeper = Keeper();
        Replace("thresholds.toml", "act = \"36 °C\"", "act = \"37 °C\"");

        Assert.False(keeper.Observe(Bytes(), now));
        Assert.True(keeper.IsWaiting);
        Assert.False(After(keeper, 1));
        Assert.True(After(keeper, 1));

        Assert.Equal((2, OutcomeKind.Accepted), (keeper.Current.Version, keeper.Current.Kind));
        Assert.Equal("heat.cambium.act: 36 °C → 37 °C", Assert.Single(keeper.Current.Changes).ToString());
        Assert.False(keeper.IsWaiting);
        Assert.False(After(keeper, 60));
    }

    [Fact]
    public void A_wrong_edit_is_refused_whole_and_noticed_until_it_is_mended()
    {
        SettingsKeeper keeper = Keeper();
        IReadOnlyDictionary<string, string> before = FlatSettings.Of(keeper.Current.Handbook);
        byte[] right = files["thresholds.toml"]!;
        Replace("thresholds.toml", "note = \"32 °C\"", "note = \"30 °C\"");
        Replace("thresholds.toml", "act = \"36 °C\"", "act = \"36\"");
        Settle(keeper);

        Assert.Equal((OutcomeKind.Refused, false), (keeper.Current.Kind, keeper.Current.IsHealthy));
        Assert.Equal(before, FlatSettings.Of(keeper.Current.Handbook));
        Assert.StartsWith("The last edit of thresholds.toml was refused (1 fault); the values before it are in force. First: thresholds.toml:", keeper.Current.Notice, StringComparison.Ordinal);
        Assert.Contains(": heat.cambium.act: 36 has no unit.", keeper.Current.Notice, StringComparison.Ordinal);
        Assert.Equal(now, keeper.Current.RefusedSince);

        files["thresholds.toml"] = right;
        Assert.True(keeper.Observe(Bytes(), now));
        Assert.Equal((OutcomeKind.TakenBack, true), (keeper.Current.Kind, keeper.Current.IsHealthy));
        Assert.Null(keeper.Current.Notice);
    }

    [Fact]
    public void An_edit_of_one_file_passes_while_another_is_refused()
    {
        SettingsKeeper keeper = Keeper();
        Replace("graftwatch.toml", "elevation = \"182 m\"", "elevation = 182");
        Settle(keeper);
        Replace("thresholds.toml", "act = \"36 °C\"", "act = \"37 °C\"");
        Settle(keeper);

        Assert.Equal(OutcomeKind.Accepted, keeper.Current.Kind);
        Assert.Equal("graftwatch.toml", Path.GetFileName(Assert.Single(keeper.Current.Refused).File));
        Assert.Equal(182, keeper.Current.Installation.Places[0].Site.ElevationM);
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

        keeper.Observe(Bytes(), now);
        Assert.False(After(keeper, 10));
        files["thresholds.toml"] = whole;
        Assert.False(After(keeper, 1));
        Assert.False(keeper.IsWaiting);
        Assert.Equal(1, keeper.Current.Version);
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
            Assert.Equal(whole.IsValid, keeper.Current.IsHealthy);
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
        Loaded<SettingsKeeper> loaded = SettingsKeeper.Start(Bytes(), Options, now);
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

    private bool After(SettingsKeeper keeper, int seconds)
    {
        now += Duration.FromSeconds(seconds);
        return keeper.Observe(Bytes(), now);
    }

    private void Settle(SettingsKeeper keeper)
    {
        keeper.Observe(Bytes(), now);
        After(keeper, 20);
    }

    private FolderBytes Bytes() => new("settings", new Dictionary<string, byte[]?>(files));
}

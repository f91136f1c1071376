using System.Diagnostics;
using System.Text;
using CsCheck;

namespace GraftWatch.Settings.Tests.Toml;

/// <summary>Whatever a file holds, it is read or refused: nothing throws and nothing hangs.</summary>
public sealed class AnyBytesTests
{
    private static readonly byte[] Shipped = ShippedDefaults.Read("thresholds.toml")[..6000];

    private static readonly string[] Pieces =
    [
        "[heat.cambium]\n", "[[heat.cambium.where]]\n", "[[", "]]", "[", "]", "{", "}", "=", "\"", "'''", "\"\"\"", "\n", "\r\n", ",", ".", "#", "act", "note = \"30 °C\"\n", "act = ",
        "\"38,5 °C\"", "38", "1e400", "nan", "-inf", "2026-01-01", "species = [\"fig\"]\n", "where", "source = ", "\\u0000", "\u0000", "\uFEFF", "0x", "true", "  ", "heat", "a.b.c.d", "°", "\\", "place",
    ];

    [Fact]
    public void Random_bytes() => Gen.Byte.Array[0, 300].Sample(Reads);

    [Fact]
    public void Random_pieces_of_grammar() =>
        Gen.Int[0, Pieces.Length - 1].Array[0, 60].Sample(picks => Reads(Encoding.UTF8.GetBytes(string.Concat(picks.Select(p => Pieces[p])))), iter: 500);

    [Fact]
    public void A_right_file_with_a_few_bytes_changed() =>
        Gen.Select(Gen.Int[0, Shipped.Length - 1], Gen.Byte).Array[1, 6].Sample(
            changes =>
            {
                byte[] text = [.. Shipped];
                foreach ((int at, byte value) in changes)
                {
                    text[at] = value;
                }

                Reads(text);
            },
            iter: 150);

    [Theory]
    [InlineData('[')]
    [InlineData('{')]
    [InlineData('"')]
    [InlineData('=')]
    [InlineData('.')]
    [InlineData('#')]
    [InlineData('\n')]
    [InlineData('\'')]
    [InlineData('a')]
    public void A_hundred_thousand_of_one_sign(char sign)
    {
        var watch = Stopwatch.StartNew();
        Reads(Encoding.UTF8.GetBytes(new string(sign, 100_000)));
        Reads(Encoding.UTF8.GetBytes("a = " + new string(sign, 100_000)));

        Assert.True(watch.Elapsed < TimeSpan.FromSeconds(30), $"took {watch.Elapsed}");
    }

    private static void Reads(byte[] bytes)
    {
        Loaded<Aftercare.Trade.Handbook> thresholds = Files.Thresholds(bytes);
        Assert.True(thresholds.IsValid == (thresholds.Faults.Count == 0));
        Assert.All(thresholds.Faults, f => Assert.True(f.Line >= 0 && f.Column >= 0 && f.Problem.Length is > 0 and < 400 && !f.ToString().Contains('\n', StringComparison.Ordinal), f.ToString()));
        SettingsLoader.ReadGraftWatch(SourceText.FromMemory("graftwatch.toml", bytes), string.Empty);
        SettingsLoader.ReadHandbook(HandbookFiles.Shipped with { Species = SourceText.FromMemory("species.toml", bytes), Materials = SourceText.FromMemory("materials.toml", bytes) });
    }
}

using System.Text;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Faults;

namespace GraftWatch.Settings.Tests.Toml;

public sealed class SyntaxFaultsTests
{
    [Theory]
    [InlineData("[heat.cambium]\nact = 38 °C\n", 2, "act = \"38 °C\"")]
    [InlineData("[heat.cambium]\nact = 38,5\n", 2, "act = \"38.5\"")]
    [InlineData("[heat.cambium]\nact = 38,5 °C # warm\n", 2, "act = \"38.5 °C\"")]
    [InlineData("[heat.cambium]\nact = \"38 °C\n", 2, "act = \"38 °C\"")]
    public void A_line_the_grammar_refuses_comes_with_a_line_it_takes(string text, int line, string example)
    {
        SettingsFault fault = Files.OnlyFault(Files.Thresholds(text));

        Assert.Equal((line, example), (fault.Line, fault.Example));
        Assert.DoesNotContain(Files.Thresholds("[heat.cambium]\n" + fault.Example).Faults, f => f.Problem.Contains("token", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("heat.cambium.act = \"37 °C\"\nheat.cambium.act = \"38 °C\"", 2, "heat.cambium.act is there twice; first on line 1.")]
    [InlineData("[heat.cambium]\nact = \"37 °C\"\n[heat.cambium]\nnote = \"31 °C\"", 3, "heat.cambium is there twice; first on line 1.")]
    [InlineData("[heat.cambium]\nact =\n", 2, "act has no value.")]
    public void What_is_there_twice_or_not_at_all_is_named(string text, int line, string problem)
    {
        SettingsFault fault = Files.OnlyFault(Files.Thresholds(text));

        Assert.Equal((line, problem), (fault.Line, fault.Problem));
    }

    [Fact]
    public void Faults_of_grammar_and_of_meaning_are_listed_together()
    {
        Loaded<Handbook> loaded = Files.Thresholds("[heat.cambium]\nact = 38 °C\nnote = \"31 °X\"\n\n[wind.gust]\nact = = 3\nnote = 5\n");

        Assert.Equal([2, 3, 6, 7], loaded.Faults.Select(f => f.Line));
    }

    [Fact]
    public void An_open_quote_is_one_fault_and_not_fifty()
    {
        string text = "[heat.cambium]\nact = \"38 °C\n" + Files.Shipped("thresholds.toml");

        Assert.Equal(2, Files.OnlyFault(Files.Thresholds(text)).Line);
    }

    [Fact]
    public void A_byte_order_mark_and_carriage_returns_change_nothing()
    {
        byte[] text = [.. Encoding.UTF8.Preamble, .. Encoding.UTF8.GetBytes("[heat.cambium]\r\nact = \"37 °C\"\r\nnote = 3\r\n")];

        Files.At(Files.OnlyFault(Files.Thresholds(text)), 3, 8, "heat.cambium.note");
    }

    [Fact]
    public void A_file_in_an_older_encoding_says_so_and_where()
    {
        SettingsFault fault = Files.OnlyFault(Files.Thresholds(Encoding.Latin1.GetBytes("# mine\nheat.cambium.act = \"37 °C\"\n")));

        Assert.Equal((2, 24), (fault.Line, fault.Column));
        Assert.Contains("not UTF-8", fault.Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void An_escape_the_parser_stumbles_over_is_a_fault_of_its_line()
    {
        SettingsFault fault = Files.OnlyFault(Files.Thresholds("[heat.cambium]\nnote = \"31 °C\"\nsource = \"\\uD800\"\n"));

        Assert.Equal(3, fault.Line);
    }

    [Fact]
    public void Depth_and_size_are_bounded()
    {
        Assert.False(Files.Thresholds("a = " + new string('[', 5000)).IsValid);
        Assert.False(Files.Thresholds(string.Join('.', Enumerable.Repeat("a", 3000)) + " = 1").IsValid);
        Assert.Contains("larger", Files.OnlyFault(Files.Thresholds(new byte[3_000_000])).Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void A_flood_of_faults_is_counted_and_not_listed_whole()
    {
        string text = string.Concat(Enumerable.Range(0, 1000).Select(i => $"key{i} = 1\n"));
        IReadOnlyList<SettingsFault> faults = Files.Thresholds(text).Faults;

        Assert.Equal(FaultList.Most + 1, faults.Count);
        Assert.Equal("800 more faults are not listed.", faults[^1].Problem);
    }
}

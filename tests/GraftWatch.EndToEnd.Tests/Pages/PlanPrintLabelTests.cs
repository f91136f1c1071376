using System.Net;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Pages.Labels;
using GraftWatch.Pages.Plan;
using NodaTime;
using ZXing;
using ZXing.Common;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed partial class PlanPrintLabelTests
{
    [Fact]
    public async Task The_plan_sets_every_union_on_the_side_it_faces_and_says_so_in_a_table()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown plan = await rig.Browser.OpenAsync("/plan?block=" + Uri.EscapeDataString("Sorrel Bank / Nursery"));
        Assert.Contains("Nursery from above", plan.Plain, StringComparison.Ordinal);
        Assert.Contains("is not known", plan.Plain, StringComparison.Ordinal);
        XElement svg = Drawing(plan.Text);
        XNamespace ns = "http://www.w3.org/2000/svg";
        string[] turns = [.. svg.Descendants(ns + "use").Select(use => Turn().Match(use.Attribute("transform")!.Value).Groups[1].Value)];
        Graft[] nursery = [.. (await rig.GraftsAsync()).Where(graft => graft.Block == "Nursery")];
        Assert.Equal(nursery.Select(graft => graft.AspectDeg.ToString("0.#", System.Globalization.CultureInfo.InvariantCulture)), turns);
        Assert.All(nursery, graft => Assert.Contains(graft.Label, plan.Plain, StringComparison.Ordinal));
        Assert.Contains("A1-01 south", plan.Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_sun_of_the_plan_stands_where_the_almanac_has_it_at_the_worst_hour()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown plan = await rig.Browser.OpenAsync("/plan?block=" + Uri.EscapeDataString("Sorrel Bank / Old orchard"));
        Match said = Worst().Match(plan.Plain);
        Assert.True(said.Success, plan.Plain);
        var at = new LocalDateTime(2026, 5, int.Parse(said.Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture), int.Parse(said.Groups[2].Value, System.Globalization.CultureInfo.InvariantCulture), 30);
        var sun = SunPosition.At(at.InZoneLeniently(DateTimeZoneProviders.Tzdb["Europe/Berlin"]).ToInstant(), 48.02, 9.06);
        XNamespace ns = "http://www.w3.org/2000/svg";
        double drawn = double.Parse(Turn().Match(Drawing(plan.Text).Elements(ns + "g").Single().Attribute("transform")!.Value).Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture);
        Assert.Equal(sun.AzimuthDeg, drawn, 0.1);
    }

    [Fact]
    public async Task A_block_that_is_not_there_shows_the_first()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Assert.Equal(HttpStatusCode.OK, (await rig.Browser.OpenAsync("/plan?block=%3Cscript%3E")).Status);
    }

    [Fact]
    public void Trees_without_a_name_stand_by_themselves_and_unions_of_one_tree_together()
    {
        Graft[] grafts = [.. GrowerRig.Read("label,block,row,tree,species,technique,made,aspect\nA,B,1,7,apple,cleft,2026-04-01,N\nC,B,1,7,apple,cleft,2026-04-01,S\nD,B,1,,apple,cleft,2026-04-01,E\nE,B,1,,apple,cleft,2026-04-01,W\n")];
        var plan = BlockPlan.Of(grafts, "Sorrel Bank", "B", null);
        Assert.Equal([2, 1, 1], plan.Trees.Select(tree => tree.Unions.Count));
        Assert.Null(plan.Sun);
    }

    [Fact]
    public async Task The_work_list_has_every_open_line_by_block_and_row_with_what_to_bring_and_the_cautions()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown print = await rig.Browser.OpenAsync("/print");
        Assert.Contains("Sorrel Bank, block Vineyard", print.Plain, StringComparison.Ordinal);
        Assert.Contains("white paper sleeve", print.Plain, StringComparison.Ordinal);
        Assert.Matches("17 × white paper sleeve \\([0-9]+, [0-9]+, [0-9]+\\)", print.Plain);
        Assert.Contains("Take care", print.Plain, StringComparison.Ordinal);
        Assert.Contains("class=\"tickable\"", print.Text, StringComparison.Ordinal);
        int nursery = print.Plain.IndexOf("block Nursery", StringComparison.Ordinal);
        int vineyard = print.Plain.IndexOf("block Vineyard", StringComparison.Ordinal);
        Assert.True(nursery >= 0 && nursery < vineyard);
        Shown one = await rig.Browser.OpenAsync("/print?block=Vineyard");
        Assert.DoesNotContain("Sorrel Bank, block Nursery", one.Plain, StringComparison.Ordinal);
    }

    [Fact]
    public void Labels_open_the_grafts_page_where_a_public_address_is_set()
    {
        Assert.Equal("https://grafts.larkhollow.example/orchard/grafts/one?label=B%203%2F7", LabelPages.CodeOf(new Uri("https://grafts.larkhollow.example/orchard"), "B 3/7"));
        Assert.Equal("B3-07", LabelPages.CodeOf(null, "B3-07"));
    }

    [Fact]
    public async Task Sheets_hold_what_the_paper_holds_and_a_filter_chooses()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync(GraftPagesTests.Many(60));
        Assert.Equal(24, Count((await rig.Browser.OpenAsync("/labels")).Text, "class=\"qr\""));
        Assert.Equal(21, Count((await rig.Browser.OpenAsync("/labels?paper=letter")).Text, "class=\"qr\""));
        Assert.Equal(24, Count((await rig.Browser.OpenAsync("/labels?paper=napkin")).Text, "class=\"qr\""));
        Assert.Equal(6, Count((await rig.Browser.OpenAsync("/labels?block=B&page=2")).Text, "class=\"qr\""));
    }

    [Theory]
    [InlineData("B3-07")]
    [InlineData("https://grafts.larkhollow.example/orchard/grafts/one?label=B%203%2F7")]
    [InlineData("Äpfel – Süd 7")]
    public void A_code_reads_back_what_it_says(string text)
    {
        // The reader is an independent library's: ZXing.Net.
        Assert.Equal(text, Decoded(QrCode.Modules(text)));
    }

    [Fact]
    public void The_drawn_code_has_the_modules_of_the_code()
    {
        const string Text = "https://grafts.larkhollow.example/grafts/one?label=B3-07";
        bool[][] modules = QrCode.Modules(Text);
        string path = PathOf().Match(QrCode.Svg(Text, "code")).Groups[1].Value;
        var drawn = new bool[modules.Length][];
        for (int row = 0; row < drawn.Length; row++)
        {
            drawn[row] = new bool[modules.Length];
        }

        (int x, int y) = (0, 0);
        foreach (Match step in Step().Matches(path))
        {
            switch (step.Groups[1].Value)
            {
                case "M":
                    x = int.Parse(step.Groups[2].Value, System.Globalization.CultureInfo.InvariantCulture);
                    y = (int)double.Parse(step.Groups[3].Value, System.Globalization.CultureInfo.InvariantCulture);
                    break;
                case "m":
                    x += int.Parse(step.Groups[2].Value, System.Globalization.CultureInfo.InvariantCulture);
                    break;
                default:
                    int length = int.Parse(step.Groups[2].Value, System.Globalization.CultureInfo.InvariantCulture);
                    Array.Fill(drawn[y - QrCode.Quiet], true, x - QrCode.Quiet, length);
                    x += length;
                    break;
            }
        }

        Assert.Equal(modules, drawn);
    }

    private static string? Decoded(bool[][] modules)
    {
        const int Scale = 4;
        int size = (modules.Length + (2 * QrCode.Quiet)) * Scale;
        byte[] grey = new byte[size * size];
        Array.Fill(grey, (byte)255);
        for (int y = 0; y < modules.Length * Scale; y++)
        {
            for (int x = 0; x < modules.Length * Scale; x++)
            {
                if (modules[y / Scale][x / Scale])
                {
                    grey[((y + (QrCode.Quiet * Scale)) * size) + x + (QrCode.Quiet * Scale)] = 0;
                }
            }
        }

        var reader = new BarcodeReaderGeneric { Options = new DecodingOptions { PossibleFormats = [BarcodeFormat.QR_CODE], TryHarder = true } };
        return reader.Decode(grey, size, size, RGBLuminanceSource.BitmapFormat.Gray8)?.Text;
    }

    private static XElement Drawing(string page)
    {
        int from = page.IndexOf("<svg", StringComparison.Ordinal);
        return XDocument.Parse(page[from..(page.IndexOf("</svg>", from, StringComparison.Ordinal) + 6)]).Root!;
    }

    private static int Count(string text, string part) => text.Split(part).Length - 1;

    [GeneratedRegex("rotate\\(([0-9.]+)\\)")]
    private static partial Regex Turn();

    [GeneratedRegex("Worst hour: [A-Z][a-z]{2} ([0-9]+)\\sMay, ([0-9]{2}):30")]
    private static partial Regex Worst();

    [GeneratedRegex("<path d=\"([^\"]+)\"")]
    private static partial Regex PathOf();

    [GeneratedRegex("([Mmh])([0-9]+)(?: ([0-9.]+))?")]
    private static partial Regex Step();
}

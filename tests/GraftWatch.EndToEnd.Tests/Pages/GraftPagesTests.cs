using System.Net;
using System.Text;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Register;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed partial class GraftPagesTests
{
    private const string Hostile = "label,block,row,tree,species,technique,made,notes\n\"<b>B</b>-1\",\"<i>x\",1,1,apple,cleft,2026-04-01,\"<script>alert(1)</script> & \"\"quotes\"\"\"\n";

    [Fact]
    public async Task A_list_pages_at_fifty_and_keeps_its_filter_on_the_way()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync(Many(120));
        Shown first = await rig.Browser.OpenAsync("/grafts?text=row");
        Assert.Contains("0 grafts", first.Plain, StringComparison.Ordinal);
        first = await rig.Browser.OpenAsync("/grafts?block=B");
        Assert.Contains("60 grafts", first.Plain, StringComparison.Ordinal);
        Assert.Contains("block=B&amp;page=2", first.Text, StringComparison.Ordinal);
        Shown second = await rig.Browser.OpenAsync("/grafts?block=B&page=2");
        Assert.Equal(10, Count(second.Text, "/grafts/one?label="));
        Assert.Equal(50, Count(first.Text, "/grafts/one?label="));
    }

    [Theory]
    [InlineData("text=winter+BANNER", "A1-01", "A1-02")]
    [InlineData("block=Vineyard", "D1-01", "A1-01")]
    [InlineData("due=shade", "B1-01", "A1-01")]
    [InlineData("stage=push", "A1-01", "A3-01")]
    public async Task The_filter_finds_by_words_block_stage_and_due_work(string query, string found, string notFound)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown list = await rig.Browser.OpenAsync("/grafts?" + query);
        Assert.Contains($"label={found}\"", list.Text, StringComparison.Ordinal);
        Assert.DoesNotContain($"label={notFound}\"", list.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Words_of_growers_are_text_on_every_page()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync(Hostile);
        string label = Uri.EscapeDataString("<b>B</b>-1");
        foreach (string path in new[] { "/today", "/grafts", "/grafts?text=%3Cb%3E", "/grafts/one?label=" + label, "/grafts/change?label=" + label, "/grafts/add?like=" + label, "/grafts/remove?label=" + label, "/plan", "/print", "/labels", "/saw?graft=" + label })
        {
            Shown page = await rig.Browser.OpenAsync(path);
            Assert.True(page.Status == HttpStatusCode.OK, path);
            Assert.DoesNotContain("<b>B", page.Text, StringComparison.Ordinal);
            Assert.DoesNotContain("<i>x", page.Text, StringComparison.Ordinal);
            Assert.DoesNotContain("<script>", page.Text, StringComparison.Ordinal);
        }

        Assert.Contains("<script>alert(1)</script> & \"quotes\"", (await rig.Browser.OpenAsync("/grafts/one?label=" + label)).Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_graft_says_every_hazard_and_every_work_with_its_reason_and_draws_its_days()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown one = await rig.Browser.OpenAsync("/grafts/one?label=A1-02");
        foreach (string hazard in new[] { "Heat", "Sun", "Drying", "Sap", "Wind", "Frost", "Wet", "Cold" })
        {
            Assert.Contains($"<dt>{hazard}</dt>", one.Text, StringComparison.Ordinal);
        }

        Assert.Contains("What is not said, and why", one.Plain, StringComparison.Ordinal);
        Assert.Contains("not due before 2026-", one.Plain, StringComparison.Ordinal);
        Assert.Contains("since ", one.Plain, StringComparison.Ordinal);
        Assert.Contains("about ", one.Plain, StringComparison.Ordinal);
        string svg = one.Text[one.Text.IndexOf("<svg", StringComparison.Ordinal)..(one.Text.IndexOf("</svg>", StringComparison.Ordinal) + 6)];
        Assert.InRange(Encoding.UTF8.GetByteCount(svg), 2_000, 20_000);
        XElement picture = XDocument.Parse(svg).Root!;
        XNamespace ns = "http://www.w3.org/2000/svg";
        Assert.NotEmpty(picture.Element(ns + "title")!.Value);
        Assert.Matches("Cambium at most .* and at least .*Frost on the bud in [0-9]+ hours?", picture.Element(ns + "desc")!.Value);
        Assert.Contains(picture.Elements(ns + "text"), text => text.Value == "with foil");
        Assert.Contains(picture.Elements(ns + "text"), text => text.Value == "cambium without cover");
        Assert.DoesNotContain(picture.DescendantsAndSelf().Attributes(), attribute => attribute.Name.LocalName is "style" or "fill" or "stroke");
        Assert.All(picture.Elements(ns + "path").Where(path => ((string?)path.Attribute("class"))?.StartsWith("line ", StringComparison.Ordinal) == true && path.Attribute("d")!.Value.Length > 30), path => Assert.DoesNotContain("NaN", path.Attribute("d")!.Value, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("en", new[] { "Urgent", "Today", "Due soon", "Worth knowing" })]
    [InlineData("de", new[] { "Dringend", "Heute", "Bald fällig", "Gut zu wissen" })]
    public async Task What_is_said_of_a_graft_is_headed_in_readable_words(string language, string[] words)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync(language: language);
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (Graft graft in (await rig.GraftsAsync()).Take(12))
        {
            Shown one = await rig.Browser.OpenAsync("/grafts/one?label=" + Uri.EscapeDataString(graft.Label));
            seen.UnionWith(PressingWords().Matches(one.Text).Select(match => WebUtility.HtmlDecode(match.Groups[1].Value)));
        }

        Assert.True(seen.Count > 1, string.Join(", ", seen));
        Assert.Subset(words.ToHashSet(StringComparer.Ordinal), seen);
    }

    [GeneratedRegex("<p class=\"pressing\">([^<]*)</p>")]
    private static partial Regex PressingWords();

    [Fact]
    public async Task One_graft_is_added_with_the_defaults_of_the_register()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown after = await rig.PressAsync("/grafts/add", "/grafts/add", ("label", "F9-01"), ("times", "1"), ("species", "apple"), ("technique", "cleft"), ("made", "2026-05-01"), ("height_m", "90"));
        Assert.Contains("Added.", after.Plain, StringComparison.Ordinal);
        Assert.Contains("value=\"F9-02\"", after.Text, StringComparison.Ordinal);
        Graft graft = (await rig.GraftsAsync()).Single(each => each.Label == "F9-01");
        Assert.Equal((0.9, 0.035, 225.0), (graft.HeightM, graft.DiameterM, graft.AspectDeg));
        Assert.Contains(graft.Assumed, sentence => sentence.StartsWith("diameter_mm:", StringComparison.Ordinal));
        Assert.DoesNotContain(graft.Assumed, sentence => sentence.StartsWith("height_m:", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_row_of_like_grafts_counts_labels_and_trees_on()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        await rig.PressAsync("/grafts/add", "/grafts/add", ("label", "E3-07"), ("times", "5"), ("tree", "7"), ("species", "pear"), ("technique", "chip-bud"), ("made", "2026-05-01"));
        Graft[] added = [.. (await rig.GraftsAsync()).Where(each => each.Label.StartsWith("E3-", StringComparison.Ordinal))];
        Assert.Equal(["E3-07", "E3-08", "E3-09", "E3-10", "E3-11"], added.Select(each => each.Label));
        Assert.Equal(["7", "8", "9", "10", "11"], added.Select(each => each.Tree));
    }

    [Theory]
    [InlineData("label", "", "Please fill this in")]
    [InlineData("label", "A1-01", "A1-01 is in your register already")]
    [InlineData("label", "a1-01", "is in your register already")]
    [InlineData("made", "2026-06-01", "is in the future")]
    [InlineData("made", "soon", "is not a date")]
    [InlineData("species", "appel", "not a species known here")]
    [InlineData("technique", "glue", "not a technique known here")]
    [InlineData("diameter_mm", "3000", "out of range")]
    [InlineData("height_m", "tall", "is not a number")]
    [InlineData("times", "0", "Between 1 and 200")]
    [InlineData("times", "many", "This is not a number")]
    public async Task A_form_with_a_fault_comes_back_with_what_was_typed_and_keeps_nothing(string field, string typed, string fault)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        int before = (await rig.GraftsAsync()).Count;
        Dictionary<string, string> fields = new() { ["label"] = "E9-01", ["times"] = "1", ["species"] = "apple", ["technique"] = "cleft", ["made"] = "2026-05-01", ["scion"] = "Gray Heron" };
        fields[field] = typed;
        Shown answer = await rig.Browser.PressAsync("/grafts/add", "/grafts/add", [.. fields.Select(pair => (pair.Key, pair.Value))]);
        Assert.Equal(HttpStatusCode.BadRequest, answer.Status);
        Assert.Contains(fault, answer.Plain, StringComparison.Ordinal);
        Assert.Contains("value=\"Gray Heron\"", answer.Text, StringComparison.Ordinal);
        Assert.Equal(before, (await rig.GraftsAsync()).Count);
    }

    [Fact]
    public async Task Several_need_a_label_that_counts()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown answer = await rig.Browser.PressAsync("/grafts/add", "/grafts/add", ("label", "Old tree"), ("times", "3"), ("species", "apple"), ("technique", "cleft"), ("made", "2026-05-01"));
        Assert.Contains("must end in a number", answer.Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_form_sent_as_it_came_changes_nothing_in_either_unit_system()
    {
        foreach (Aftercare.Advising.UnitSystem units in Enum.GetValues<Aftercare.Advising.UnitSystem>())
        {
            await using GrowerRig rig = await GrowerRig.StartAsync(units: units);
            foreach (Graft before in await rig.GraftsAsync())
            {
                string path = "/grafts/change?label=" + Uri.EscapeDataString(before.Label);
                Shown form = await rig.Browser.OpenAsync(path);
                await rig.PressAsync(path, "/grafts/change", [.. FieldsOf(form.Text)]);
                Graft after = (await rig.GraftsAsync()).Single(each => each.Label == before.Label);
                Assert.True(RegisterDifference.Same(before, after), $"{before} became {after}");
            }
        }
    }

    [Fact]
    public async Task A_change_is_kept_and_only_that()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown form = await rig.Browser.OpenAsync("/grafts/change?label=A1-01");
        (string, string)[] fields = [.. FieldsOf(form.Text).Where(field => field.Item1 != "cover"), ("cover", "foil")];
        Graft before = (await rig.GraftsAsync()).Single(each => each.Label == "A1-01");
        await rig.PressAsync("/grafts/change?label=A1-01", "/grafts/change", fields);
        Graft after = (await rig.GraftsAsync()).Single(each => each.Label == "A1-01");
        Assert.True(RegisterDifference.Same(before with { Cover = "foil" }, after));
    }

    [Fact]
    public async Task A_graft_is_taken_out_and_its_notes_stay()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        await rig.PressAsync("/saw?graft=A1-01", "/saw", ("graft", "A1-01"), ("saw", "green tip"));
        int before = (await rig.GraftsAsync()).Count;
        await rig.PressAsync("/grafts/remove?label=A1-01", "/grafts/remove", ("label", "A1-01"));
        Assert.Equal(before - 1, (await rig.GraftsAsync()).Count);
        Assert.Single(await rig.NotesAsync());
        Assert.Equal(HttpStatusCode.NotFound, (await rig.Browser.PressAsync("/today", "/grafts/remove", ("label", "A1-01"))).Status);
    }

    [Fact]
    public async Task A_register_that_is_a_file_is_shown_and_cannot_be_changed_here()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser mara = await site.SignInAsync(SiteHarness.Mara);
        Shown list = await mara.OpenAsync("/grafts");
        Assert.Contains("Your register is a file", list.Plain, StringComparison.Ordinal);
        Assert.Contains("A1-01", list.Plain, StringComparison.Ordinal);
        foreach (string path in new[] { "/grafts/add", "/grafts/change?label=A1-01", "/grafts/remove?label=A1-01", "/grafts/upload" })
        {
            Assert.Equal(HttpStatusCode.Forbidden, (await mara.LookAsync(path)).Status);
        }

        Assert.Equal(HttpStatusCode.Forbidden, (await mara.PressAsync("/today", "/grafts/remove", ("label", "A1-01"))).Status);
        Assert.Equal(HttpStatusCode.SeeOther, (await mara.PressAsync("/saw?graft=A1-01", "/saw", ("graft", "A1-01"), ("saw", "green tip"))).Status);
        Assert.Single(await site.Store.Keeper.LoadNotesAsync("Mara", default));
    }

    [Fact]
    public async Task An_empty_register_leads_to_the_form()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync("label,species,technique,made\n");
        Assert.Contains("There is no graft in your register yet", (await rig.Browser.OpenAsync("/grafts")).Plain, StringComparison.Ordinal);
        foreach (string path in new[] { "/today", "/plan", "/print", "/labels", "/grafts/register.csv" })
        {
            Assert.Equal(HttpStatusCode.OK, (await rig.Browser.OpenAsync(path)).Status);
        }
    }

    internal static string Many(int count)
    {
        var csv = new StringBuilder("label,block,row,tree,species,scion,stock,technique,made,aspect,diameter_mm,cover\n");
        for (int i = 0; i < count; i++)
        {
            csv.Append(System.Globalization.CultureInfo.InvariantCulture, $"{(char)('A' + i % 2)}{i / 40}-{i:0000},{(char)('A' + i % 2)},{i / 40},{i % 40},{(i % 3 == 0 ? "pear" : "apple")},Winter Banner,M9,whip-and-tongue,2026-04-{1 + i % 28:00},{i % 8 * 45},{8 + i % 5},{(i % 4 == 0 ? "foil" : "none")}\n");
        }

        return csv.ToString();
    }

    // What a browser would send of the form of one graft.
    private static IEnumerable<(string, string)> FieldsOf(string page)
    {
        foreach (System.Text.RegularExpressions.Match input in System.Text.RegularExpressions.Regex.Matches(page, "<input type=\"(text|date|hidden)\"[^>]*?name=\"([a-z_]+)\"(?: value=\"([^\"]*)\")?"))
        {
            if (input.Groups[2].Value != "_form")
            {
                yield return (input.Groups[2].Value, WebUtility.HtmlDecode(input.Groups[3].Value));
            }
        }

        foreach (System.Text.RegularExpressions.Match select in System.Text.RegularExpressions.Regex.Matches(page, "<select[^>]*name=\"([a-z_]+)\"[^>]*>(.*?)</select>", System.Text.RegularExpressions.RegexOptions.Singleline))
        {
            System.Text.RegularExpressions.Match chosen = System.Text.RegularExpressions.Regex.Match(select.Groups[2].Value, "<option value(?:=\"([^\"]*)\")? selected>");
            chosen = chosen.Success ? chosen : System.Text.RegularExpressions.Regex.Match(select.Groups[2].Value, "<option value(?:=\"([^\"]*)\")?");
            yield return (select.Groups[1].Value, WebUtility.HtmlDecode(chosen.Groups[1].Value));
        }

        foreach (System.Text.RegularExpressions.Match area in System.Text.RegularExpressions.Regex.Matches(page, "<textarea[^>]*name=\"([a-z_]+)\"[^>]*>(.*?)</textarea>", System.Text.RegularExpressions.RegexOptions.Singleline))
        {
            yield return (area.Groups[1].Value, WebUtility.HtmlDecode(area.Groups[2].Value));
        }
    }

    private static int Count(string text, string part) => text.Split(part).Length - 1;
}

using System.Net;
using System.Text;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Grafts;
using GraftWatch.Records.Register;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class UploadPagesTests
{
    private const string Three = "label,species,technique,made\nN-1,apple,cleft,2026-04-01\nN-2,apple,cleft,2026-04-01\nA1-01,apple,cleft,2026-04-01\n";

    [Fact]
    public async Task A_file_is_looked_at_first_and_kept_only_when_told()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        IReadOnlyList<Graft> before = await rig.GraftsAsync();
        Shown sent = await rig.UploadAsync(Three);
        Assert.Equal(HttpStatusCode.SeeOther, sent.Status);
        Shown look = await rig.Browser.OpenAsync(sent.LeadsTo!);
        Assert.Contains("2 grafts are new", look.Plain, StringComparison.Ordinal);
        Assert.Contains("1 graft changes", look.Plain, StringComparison.Ordinal);
        Assert.Contains($"{before.Count - 1} grafts that the file lacks stay", look.Plain, StringComparison.Ordinal);
        Assert.Equal(before.Count, (await rig.GraftsAsync()).Count);
        Shown kept = await rig.PressAsync(sent.LeadsTo!, "/grafts/upload/keep", ("key", KeyOf(sent)), ("seen", SeenOf(look)));
        Assert.Contains("The register is kept", kept.Plain, StringComparison.Ordinal);
        Assert.Equal(before.Count + 2, (await rig.GraftsAsync()).Count);
        Assert.Contains("N-1", kept.Plain + (await rig.Browser.OpenAsync("/grafts?text=N-1")).Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Replacing_takes_out_what_the_file_lacks()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown sent = await rig.UploadAsync(Three, replaces: true);
        Shown look = await rig.Browser.OpenAsync(sent.LeadsTo!);
        await rig.PressAsync(sent.LeadsTo!, "/grafts/upload/keep", ("key", KeyOf(sent)), ("seen", SeenOf(look)));
        Assert.Equal(["A1-01", "N-1", "N-2"], (await rig.GraftsAsync()).Select(graft => graft.Label).Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task A_file_with_faults_lists_them_all_as_import_does_and_keeps_nothing()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        const string Csv = "label,species,technique,made\nN-1,aple,cleft,2026-04-01\nN-1,apple,clft,2026-04-01\nN-3,apple,cleft,2027-01-01\n\"N-4,apple\n";
        IReadOnlyList<RegisterFault> faults = RegisterCsv.Parse(Csv, Settings.SettingsLoader.LoadHandbook(folder: null).Value!, new LocalDate(2026, 5, 12), new RegisterContext { File = "register.csv", DefaultPlace = "Sorrel Bank" }).Faults;
        Assert.True(faults.Count >= 5);
        IReadOnlyList<Graft> before = await rig.GraftsAsync();
        Shown answer = await rig.UploadAsync(Csv);
        Assert.Equal(HttpStatusCode.BadRequest, answer.Status);
        Assert.All(faults, fault => Assert.Contains(fault.ToString(), answer.Plain, StringComparison.Ordinal));
        Assert.Equal(before, await rig.GraftsAsync(), RegisterDifference.Same);
    }

    [Theory]
    [InlineData("")]
    [InlineData("label,species,technique,made\n")]
    [InlineData("rubbish")]
    [InlineData("label,species,technique,made,colour\nN-1,apple,cleft,2026-04-01,red\n")]
    public async Task A_file_that_is_no_register_is_refused(string csv)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Assert.Equal(HttpStatusCode.BadRequest, (await rig.UploadAsync(csv)).Status);
    }

    [Fact]
    public async Task A_picture_and_bytes_that_are_not_text_are_refused_with_a_sentence()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown answer = await rig.UploadAsync([0x89, 0x50, 0x4E, 0x47, 0xFF, 0xFE, 0x00, 0x0A]);
        Assert.Equal(HttpStatusCode.BadRequest, answer.Status);
        Assert.Contains("not UTF-8", answer.Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Ten_thousand_rows_go_through_and_the_look_stays_small()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        string csv = GraftPagesTests.Many(10_000);
        Shown sent = await rig.UploadAsync(csv);
        Shown look = await rig.Browser.OpenAsync(sent.LeadsTo!);
        Assert.Contains("10000 grafts are new", look.Plain, StringComparison.Ordinal);
        Assert.InRange(Encoding.UTF8.GetByteCount(look.Text), 1, 50_000);
        await rig.PressAsync(sent.LeadsTo!, "/grafts/upload/keep", ("key", KeyOf(sent)), ("seen", SeenOf(look)));
        Assert.True((await rig.GraftsAsync()).Count > 10_000);
        Assert.Contains("grafts", (await rig.Browser.OpenAsync("/grafts?text=Banner")).Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_file_over_two_megabytes_is_refused_before_it_is_read()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        byte[] big = new byte[(2 * 1024 * 1024) + 1024];
        Array.Fill(big, (byte)'a');
        try
        {
            Shown answer = await rig.UploadAsync(big);
            Assert.Equal(HttpStatusCode.RequestEntityTooLarge, answer.Status);
        }
        catch (HttpRequestException)
        {
            // The server may close the line while the file is still being sent; that refuses it as well.
        }

        Assert.DoesNotContain(await rig.GraftsAsync(), graft => graft.Label.Contains("aaa", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Another_growers_key_and_a_key_whose_minutes_are_over_find_nothing()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        await GrowerRig.AddGrowerAsync(rig.Site, "Other", "other@larkhollow.example");
        using Browser other = await rig.Site.SignInAsync("other@larkhollow.example");
        Shown sent = await rig.UploadAsync(Three);
        Assert.Equal(HttpStatusCode.NotFound, (await other.LookAsync(sent.LeadsTo!)).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await other.PressAsync("/today", "/grafts/upload/keep", ("key", KeyOf(sent)), ("seen", "2-1-0-0"))).Status);
        Assert.Empty(await rig.Site.Store.Register.LoadGraftsAsync("Other", default));
        rig.Site.Clock.Advance(TimeSpan.FromMinutes(21));
        Shown late = await rig.Browser.LookAsync(sent.LeadsTo!);
        Assert.Equal(HttpStatusCode.NotFound, late.Status);
        Assert.Contains("no longer waits", late.Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_register_that_changed_since_the_look_is_looked_at_again()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown sent = await rig.UploadAsync(Three);
        Shown look = await rig.Browser.OpenAsync(sent.LeadsTo!);
        await rig.Site.Store.Keeper.ImportGraftsAsync(GrowerRig.Name, GrowerRig.Read("label,species,technique,made\nN-1,pear,cleft,2026-04-01\n"), default);
        Shown answer = await rig.Browser.PressAsync(sent.LeadsTo!, "/grafts/upload/keep", ("key", KeyOf(sent)), ("seen", SeenOf(look)));
        Assert.Contains("said=look-again", answer.LeadsTo, StringComparison.Ordinal);
        Assert.Equal("pear", (await rig.GraftsAsync()).Single(graft => graft.Label == "N-1").Species);
    }

    [Fact]
    public async Task The_register_taken_along_comes_back_as_it_was_and_holds_no_formula()
    {
        const string Csv = "label,block,species,technique,made,notes\n=1+1,@home,apple,cleft,2026-04-01,\"=HYPERLINK(\"\"http://bad.example\"\")\"\n-7,+B,pear,cleft,2026-04-01,'=quoted\nC-1,B,pear,cleft,2026-04-01,fine - really\n";
        await using GrowerRig rig = await GrowerRig.StartAsync(Csv);
        IReadOnlyList<Graft> before = await rig.GraftsAsync();
        Shown file = await rig.Browser.OpenAsync("/grafts/register.csv");
        Assert.Equal(file.Text, (await rig.Browser.OpenAsync("/you/export/register.csv")).Text);
        Assert.Equal("text/csv; charset=utf-8", file.Headers["Content-Type"]);
        Assert.Contains("attachment", file.Headers["Content-Disposition"], StringComparison.Ordinal);
        foreach (string cell in file.Text.Split("\r\n").Skip(1).SelectMany(line => line.Split(',')).Select(cell => cell.Trim('"')))
        {
            Assert.False(cell.Length > 0 && "=+-@\t\r".Contains(cell[0], StringComparison.Ordinal), cell);
        }

        Shown sent = await rig.UploadAsync(file.Text, replaces: true);
        Shown look = await rig.Browser.OpenAsync(sent.LeadsTo!);
        Assert.Contains("0 grafts are new", look.Plain, StringComparison.Ordinal);
        Assert.Contains("0 grafts change", look.Plain, StringComparison.Ordinal);
        Assert.Contains("3 grafts stay as they are", look.Plain, StringComparison.Ordinal);
        Assert.Equal(3, before.Count);
    }

    [Theory]
    [InlineData("=1", "'=1")]
    [InlineData(" =1", "'=1")]
    [InlineData("+1", "'+1")]
    [InlineData("-1", "'-1")]
    [InlineData("@x", "'@x")]
    [InlineData("'=1", "''=1")]
    [InlineData("'tis", "'tis")]
    [InlineData("a=1", "a=1")]
    [InlineData("", "")]
    public void A_cell_that_a_spreadsheet_would_reckon_with_gets_an_apostrophe_and_loses_it_again(string cell, string guarded)
    {
        Assert.Equal(guarded, FormulaCells.GuardCell(cell));
        Assert.Equal(cell.Trim(), FormulaCells.UnguardCell(guarded));
    }

    [Theory]
    [InlineData("B3-07", 1, "B3-08")]
    [InlineData("B3-09", 1, "B3-10")]
    [InlineData("B3-99", 1, "B3-100")]
    [InlineData("7", 3, "10")]
    [InlineData("Old tree", 1, null)]
    [InlineData("", 1, null)]
    public void A_label_counts_on(string label, int further, string? next) => Assert.Equal(next, GraftCells.CountOn(label, further));

    private static string KeyOf(Shown sent) => sent.LeadsTo![(sent.LeadsTo!.IndexOf("key=", StringComparison.Ordinal) + 4)..];

    private static string SeenOf(Shown look) => System.Text.RegularExpressions.Regex.Match(look.Text, "name=\"seen\" value=\"([^\"]+)\"").Groups[1].Value;
}

using GraftWatch.EndToEnd.Tests.Pages;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Browser.Tests;

/// <summary>Every page on a phone and on a desk, in light and dark, held against the rules for web content (axe-core, WCAG 2.2 and its best practices).</summary>
public sealed class EveryPageTests(Chromium chromium)
{
    /// <summary>Pages everybody may open.</summary>
    private static readonly string[] Open = ["/", "/sign-in", "/sign-in/sent", "/subscribe"];

    /// <summary>Pages of a signed-in grower.</summary>
    private static readonly string[] OfGrowers =
    [
        "/today", "/grafts", "/grafts/one?label=A1-01", "/grafts/one?label=A1-02", "/grafts/add?like=A1-01", "/grafts/upload", "/plan", "/print", "/labels", "/saw?graft=A1-01", "/you", "/you/address", "/you/address/sent",
    ];

    /// <summary>Pages of the operator.</summary>
    private static readonly string[] OfTheOperator =
    [
        "/operator", "/operator/growers", "/operator/growers/all", "/operator/growers/new", "/operator/growers/one?name=Mara", "/operator/letters", "/operator/letters/1", "/operator/weather", "/operator/settings", "/operator/settings?part=thresholds",
    ];

    public static TheoryData<int, bool, string> Looks => new() { { 360, false, "en" }, { 360, true, "de" }, { 1280, false, "de" }, { 1280, true, "en" } };

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task Pages_for_everybody_keep_the_rules(int width, bool dark, string language)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await using Window window = await chromium.OpenAsync(site.Address, new Look(width, Dark: dark, Language: language));
        await LookAsync(window, Open, width, dark);
    }

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task Pages_of_a_grower_keep_the_rules(int width, bool dark, string language)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        await using Window window = await chromium.OpenAsync(rig.Site.Address, new Look(width, Dark: dark, Language: language));
        await window.SignInAsync(rig.Site, GrowerRig.Address);
        await LookAsync(window, OfGrowers, width, dark);
    }

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task Pages_of_the_operator_keep_the_rules(int width, bool dark, string language)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        var slot = new LetterSlot("Mara", new LocalDate(2026, 5, 11), LetterKind.Morning) { Channel = "gone" };
        var letter = new SealedLetter(slot, 1, "m1@letters.example", SiteHarness.Mara, "Mon 11 May · shade 7 unions before 11:00, stake 3", "Subject: x\r\n\r\nShade 7 unions.\r\n"u8.ToArray(), site.Now);
        Assert.True(await site.Store.Ledger.SealAsync(letter, default));
        await site.Store.Ledger.RecordTryAsync(slot, new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 4.7.1 come back later, this line is long enough to wrap on a telephone"), site.Now, default);
        await using Window window = await chromium.OpenAsync(site.Address, new Look(width, Dark: dark, Language: language));
        await window.SignInAsync(site, SiteHarness.Operator);
        await LookAsync(window, OfTheOperator, width, dark);
    }

    [Theory]
    [MemberData(nameof(Looks))]
    public async Task Pages_of_the_first_start_keep_the_rules(int width, bool dark, string language)
    {
        await using FirstStartRig rig = await FirstStartRig.StartAsync();
        await using Window window = await chromium.OpenAsync(rig.Address, new Look(width, Dark: dark, Language: language));
        await window.OpenAsync("/?code=" + rig.Code);
        await window.PictureAsync($"first-start {width} {(dark ? "dark" : "light")}");
        await window.CheckAsync();
        await window.Page.ClickAsync("main button[type=submit]");
        await LookAsync(window, ["/first-start/place"], width, dark);
        await window.Page.FillAsync("input[name=where]", "48.02, 9.06");
        await window.Page.FillAsync("input[name=elevation]", "465");
        await window.Page.ClickAsync("main button[type=submit]");
        await LookAsync(window, ["/first-start/mail"], width, dark);
        await window.Page.ClickAsync("button[value=test]");
        await window.CheckAsync();
        await window.PictureAsync($"first-start-mail-wrong {width} {(dark ? "dark" : "light")}");
        await window.Page.ClickAsync("button[value=files]");
        await LookAsync(window, ["/first-start/grower"], width, dark);
        await window.Page.FillAsync("input[name=address]", "mara@sorrelbank.example");
        await window.Page.ClickAsync("main button[type=submit]");
        await LookAsync(window, ["/first-start/register"], width, dark);
        await window.Page.ClickAsync("button[value=none]");
        await LookAsync(window, ["/first-start/finish"], width, dark);
        await window.Page.ClickAsync("main button[type=submit]");
        await window.CheckAsync();
        await window.PictureAsync($"first-start-done {width} {(dark ? "dark" : "light")}");
    }

    private static async Task LookAsync(Window window, IEnumerable<string> pages, int width, bool dark)
    {
        var troubles = new List<string>();
        foreach (string page in pages)
        {
            try
            {
                await window.OpenAsync(page);
                await window.PictureAsync($"{page.Trim('/').Replace('/', '-').Split('?')[0]} {width} {(dark ? "dark" : "light")}");
                await window.CheckAsync();
            }
            catch (Xunit.Sdk.XunitException failed)
            {
                troubles.Add(failed.Message);
            }
        }

        Assert.True(troubles.Count == 0, string.Join('\n', troubles));
    }
}

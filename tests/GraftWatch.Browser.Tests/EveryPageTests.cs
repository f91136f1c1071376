using GraftWatch.EndToEnd.Tests.Pages;

namespace GraftWatch.Browser.Tests;

/// <summary>Every page on a phone and on a desk, in light and dark, held against the rules for web content (axe-core, WCAG 2.2 and its best practices).</summary>
public sealed class EveryPageTests(Chromium chromium)
{
    /// <summary>Pages everybody may open.</summary>
    private static readonly string[] Open = ["/", "/sign-in", "/sign-in/sent", "/subscribe"];

    /// <summary>Pages of a signed-in grower.</summary>
    private static readonly string[] OfGrowers =
    [
        "/today", "/grafts", "/grafts/one?label=A1-01", "/grafts/one?label=A1-02", "/grafts/add?like=A1-01", "/grafts/upload", "/plan", "/print", "/labels", "/saw?graft=A1-01", "/me",
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

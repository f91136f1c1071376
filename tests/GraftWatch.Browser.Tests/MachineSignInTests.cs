using System.Text.RegularExpressions;
using GraftWatch.EndToEnd.Tests.Pages;
using Microsoft.Playwright;

namespace GraftWatch.Browser.Tests;

/// <summary>The way in of who runs the machine while the settings name nobody: the code from the log, on a phone, in both languages.</summary>
public sealed partial class MachineSignInTests(Chromium chromium)
{
    private const string Path = "/sign-in/machine";

    [Theory]
    [InlineData("en", false, "This is not the code", "because you entered with the code of this machine")]
    [InlineData("de", true, "Das ist nicht der Code", "weil Sie sich mit dem Code dieses Rechners angemeldet haben")]
    public async Task The_code_of_the_log_lets_in_once_and_a_wrong_a_used_or_an_old_one_says_what_to_do(string language, bool script, string refused, string inside)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await WithoutOperatorAsync(site);
        Window window = await chromium.OpenAsync(site.Address, new Look(360, script, Language: language));
        await using (window)
        {
            await window.OpenAsync(Path);
            await CheckAsync(window, script, $"machine-ask {language}");

            await EnterAsync(window, "2222-2222", lets: false);
            await window.SaysAsync(refused);
            await CheckAsync(window, script, $"machine-wrong {language}");

            string code = CodeOf(site);
            await EnterAsync(window, code, lets: true);
            await Assertions.Expect(window.Page).ToHaveURLAsync(Inside());
            await window.SaysAsync(inside);
            await CheckAsync(window, script, $"machine-inside {language}");

            await using Window other = await chromium.OpenAsync(site.Address, new Look(360, script, Language: language));
            await other.OpenAsync(Path);
            await EnterAsync(other, code, lets: false);
            await other.SaysAsync(refused);
            string next = CodeOf(site);
            Assert.NotEqual(code, next);
            await EnterAsync(other, " " + next.ToUpperInvariant().Replace("-", string.Empty, StringComparison.Ordinal) + " ", lets: true);
            await Assertions.Expect(other.Page).ToHaveURLAsync(Inside());
        }

        // A code lives as long as the program that wrote it: the one of before a restart is void, and who was in is out.
        string old = CodeOf(site);
        await site.RestartAsync();
        await using Window after = await chromium.OpenAsync(site.Address, new Look(360, script, Language: language));
        await after.OpenAsync(Path);
        await EnterAsync(after, old, lets: false);
        await after.SaysAsync(refused);
        await EnterAsync(after, CodeOf(site), lets: true);
        await Assertions.Expect(after.Page).ToHaveURLAsync(Inside());
    }

    private static async Task EnterAsync(Window window, string code, bool lets)
    {
        await window.Page.FillAsync("input[name=code]", code);
        await window.PressAsync(Path);
        if (!lets)
        {
            await window.ShowsAsync("input[name=code]");
        }
    }

    private static async Task CheckAsync(Window window, bool script, string picture)
    {
        await window.PictureAsync($"{picture} 360");
        if (script)
        {
            await window.CheckAsync();
        }
    }

    private static async Task WithoutOperatorAsync(SiteHarness site)
    {
        string path = System.IO.Path.Combine(site.Folder, "graftwatch.toml");
        string text = await File.ReadAllTextAsync(path, TestContext.Current.CancellationToken);
        string without = text.Replace($"[operator]\naddress = \"{SiteHarness.Operator}\"\n", string.Empty, StringComparison.Ordinal);
        Assert.NotEqual(text, without);
        await File.WriteAllTextAsync(path, without, TestContext.Current.CancellationToken);
        await site.RestartAsync();
    }

    private static string CodeOf(SiteHarness site) => Spelled().Match(site.LogLines.Last(line => line.Contains("MachineCode", StringComparison.Ordinal))).Value;

    [GeneratedRegex("[2-9a-z]{4}-[2-9a-z]{4}")]
    private static partial Regex Spelled();

    [GeneratedRegex("/operator$")]
    private static partial Regex Inside();
}

using System.Net;
using System.Text.RegularExpressions;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed partial class OperatorAtTheMachineTests
{
    [Fact]
    public async Task Being_at_the_machine_is_no_proof()
    {
        // As through a forwarder that adds no header: the loopback address, and a host name that is ours.
        await using SiteHarness site = await StartAsync("subscriptions = false");
        using Browser browser = site.Browse();
        foreach (string path in (string[])["/operator", "/operator/settings", "/you", "/subscribe/place"])
        {
            Assert.StartsWith("/sign-in", (await browser.LookAsync(path)).LeadsTo, StringComparison.Ordinal);
        }

        Assert.StartsWith("/sign-in", (await browser.PressAsync("/sign-in", "/operator/growers/pause", ("name", "Mara"))).LeadsTo, StringComparison.Ordinal);
        Assert.Empty(await site.Store.Stops.LoadStopsAsync(default));
    }

    [Fact]
    public async Task The_code_in_the_log_lets_one_browser_in_as_the_operator_once()
    {
        await using SiteHarness site = await StartAsync("subscriptions = false");
        using Browser browser = site.Browse();
        string code = Code(site);
        Shown wrong = await browser.PressAsync("/sign-in/machine", "/sign-in/machine", ("code", "2222-2222"));
        Assert.Contains("This is not the code", wrong.Plain, StringComparison.Ordinal);
        Assert.Equal("/operator", (await browser.PressAsync("/sign-in/machine", "/sign-in/machine", ("code", code))).LeadsTo);
        Shown shown = await browser.LookAsync("/operator");
        Assert.Equal(HttpStatusCode.OK, shown.Status);
        Assert.Contains("because you entered with the code of this machine", shown.Plain, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.SeeOther, (await browser.PressAsync("/operator/growers/one?name=Mara", "/operator/growers/pause", ("name", "Mara"))).Status);
        Assert.Single(await site.Store.Stops.LoadStopsAsync(default));
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.PostAsync("/operator/growers/resume", "cross-site", [("_form", shown.FormToken), ("name", "Mara")])).Status);

        using Browser other = site.Browse();
        Assert.StartsWith("/sign-in", (await other.LookAsync("/operator")).LeadsTo, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.OK, (await other.PressAsync("/sign-in/machine", "/sign-in/machine", ("code", code))).Status);
        Assert.StartsWith("/sign-in", (await other.LookAsync("/operator")).LeadsTo, StringComparison.Ordinal);
        Assert.NotEqual(code, Code(site));
    }

    [Fact]
    public async Task Who_signs_out_or_lives_through_a_restart_types_a_fresh_code()
    {
        await using SiteHarness site = await StartAsync("subscriptions = false");
        using Browser browser = site.Browse();
        await EnterAsync(site, browser);
        string cookie = browser.Cookies.GetCookies(site.Address)["gw-session"]!.Value;
        await browser.PressAsync("/operator", "/sign-out");
        browser.Cookies.Add(new Cookie("gw-session", cookie, "/", site.Address.Host));
        Assert.StartsWith("/sign-in", (await browser.LookAsync("/operator")).LeadsTo, StringComparison.Ordinal);

        await EnterAsync(site, browser);
        await site.RestartAsync();
        using Browser after = site.Browse();
        after.Cookies.Add(new Cookie("gw-session", browser.Cookies.GetAllCookies().First(kept => kept.Name == "gw-session").Value, "/", site.Address.Host));
        Assert.StartsWith("/sign-in", (await after.LookAsync("/operator")).LeadsTo, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_operator_without_an_address_is_offered_nothing_that_needs_one_and_becomes_no_grower()
    {
        await using SiteHarness site = await StartAsync("subscriptions = true");
        using Browser browser = site.Browse();
        await EnterAsync(site, browser);
        Shown shown = await browser.OpenAsync("/operator");
        Assert.DoesNotContain("href=\"/you\"", shown.Text, StringComparison.Ordinal);
        foreach (string path in (string[])["/you", "/you/delete", "/subscribe/place", "/today"])
        {
            Assert.StartsWith("/sign-in", (await browser.LookAsync(path)).LeadsTo, StringComparison.Ordinal);
        }

        (string, string)[] place =
        [
            ("_form", shown.FormToken), ("name", "Jonas"), ("place", "Hollow Field"), ("where", "47.5, 8.7"), ("elevation", "440"), ("shelter", "open"), ("hour", "05:45"), ("units", "metric"), ("language", "en"),
        ];
        Assert.StartsWith("/sign-in", (await browser.PostAsync("/subscribe/place", place)).LeadsTo, StringComparison.Ordinal);
        Assert.StartsWith("/sign-in", (await browser.PostAsync("/you/language", ("_form", shown.FormToken), ("language", "de"))).LeadsTo, StringComparison.Ordinal);
        Assert.Empty(await site.Store.Book.LoadGrowersAsync(default));
        Assert.Empty(await site.Store.Book.LoadPlacesAsync(default));
        Assert.Null(await site.Store.People.FindAsync(string.Empty, default));
    }

    [Theory]
    [InlineData("X-Forwarded-For", "192.0.2.7")]
    [InlineData("X-Real-IP", "192.0.2.7")]
    [InlineData("Forwarded", "for=192.0.2.7")]
    [InlineData("Via", "1.1 proxy")]
    public async Task A_proxy_is_nobody_at_the_machine(string header, string value)
    {
        await using SiteHarness site = await StartAsync("subscriptions = false");
        using Browser browser = site.Browse();
        await EnterAsync(site, browser);
        var request = new HttpRequestMessage(HttpMethod.Get, "/operator");
        request.Headers.TryAddWithoutValidation(header, value);
        Assert.StartsWith("/sign-in", (await browser.SendAsync(request)).LeadsTo, StringComparison.Ordinal);
        Assert.StartsWith("/sign-in", (await browser.SendAsync(new HttpRequestMessage(HttpMethod.Get, "/operator") { Version = HttpVersion.Version10 })).LeadsTo, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("public_address = \"https://grafts.example.org\"")]
    [InlineData("trusted_proxies = [\"10.0.0.0/8\"]")]
    public async Task Once_the_pages_are_reached_from_elsewhere_sitting_at_the_machine_is_no_proof(string page)
    {
        await using SiteHarness site = await StartAsync(page);
        using Browser browser = site.Browse();
        Assert.Contains("/sign-in", (await browser.LookAsync("/operator")).LeadsTo, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.NotFound, (await browser.LookAsync("/sign-in/machine")).Status);
        Assert.DoesNotContain(site.LogLines, line => line.Contains("MachineCode", StringComparison.Ordinal));
    }

    private static async Task EnterAsync(SiteHarness site, Browser browser)
    {
        await browser.OpenAsync("/sign-in/machine");
        Assert.Equal("/operator", (await browser.PressAsync("/sign-in/machine", "/sign-in/machine", ("code", Code(site)))).LeadsTo);
    }

    private static string Code(SiteHarness site) => Spelled().Match(site.LogLines.Last(line => line.Contains("MachineCode", StringComparison.Ordinal))).Value;

    [GeneratedRegex("[2-9a-z]{4}-[2-9a-z]{4}")]
    private static partial Regex Spelled();

    private static async Task<SiteHarness> StartAsync(string page)
    {
        SiteHarness site = await SiteHarness.StartAsync(page);
        string path = Path.Combine(site.Folder, "graftwatch.toml");
        string text = await File.ReadAllTextAsync(path, TestContext.Current.CancellationToken);
        string without = text.Replace($"[operator]\naddress = \"{SiteHarness.Operator}\"\n", string.Empty, StringComparison.Ordinal);
        Assert.NotEqual(text, without);
        await File.WriteAllTextAsync(path, without, TestContext.Current.CancellationToken);
        await site.RestartAsync();
        return site;
    }
}

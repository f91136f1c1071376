using System.Net;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class OperatorAtTheMachineTests
{
    [Fact]
    public async Task Who_sits_at_the_machine_is_the_operator_while_nobody_is_named_and_is_told_so()
    {
        await using SiteHarness site = await StartAsync("subscriptions = false");
        using Browser browser = site.Browse();
        Shown shown = await browser.LookAsync("/operator");
        Assert.Equal(HttpStatusCode.OK, shown.Status);
        Assert.Contains("because you sit at this machine", shown.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("/sign-out", shown.Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.SeeOther, (await browser.PressAsync("/operator/growers/one?name=Mara", "/operator/growers/pause", ("name", "Mara"))).Status);
        Assert.Single(await site.Store.Stops.LoadStopsAsync(default));
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.PostAsync("/operator/growers/resume", "cross-site", [("_form", shown.FormToken), ("name", "Mara")])).Status);
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
    }

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

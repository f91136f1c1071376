using System.Net;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class FrameTests
{
    [Fact]
    public async Task Every_answer_carries_the_security_headers_and_is_kept_by_nobody()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        foreach (string path in (string[])["/sign-in", "/nowhere", "/", "/sign-in/x"])
        {
            Shown shown = await browser.LookAsync(path);
            Assert.Equal("default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'", shown.Headers["Content-Security-Policy"]);
            Assert.Equal("nosniff", shown.Headers["X-Content-Type-Options"]);
            Assert.Equal("same-origin", shown.Headers["Referrer-Policy"]);
            Assert.Equal("same-origin", shown.Headers["Cross-Origin-Opener-Policy"]);
            Assert.Equal("same-origin", shown.Headers["Cross-Origin-Resource-Policy"]);
            Assert.Contains("geolocation=(self)", shown.Headers["Permissions-Policy"], StringComparison.Ordinal);
            Assert.Equal("no-store", shown.Headers["Cache-Control"]);
            Assert.DoesNotContain("Strict-Transport-Security", shown.Headers.Keys);
            Assert.DoesNotContain("Server", shown.Headers.Keys);
        }
    }

    [Fact]
    public async Task Pages_have_no_inline_script_or_style_and_fetch_nothing_from_elsewhere()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        string text = (await browser.OpenAsync("/sign-in")).Text;
        Assert.DoesNotContain("<style", text, StringComparison.Ordinal);
        Assert.DoesNotContain("style=", text, StringComparison.Ordinal);
        Assert.DoesNotContain("onclick", text, StringComparison.Ordinal);
        Assert.DoesNotContain("http", text, StringComparison.Ordinal);
        Assert.Matches("<script src=\"/assets/[0-9a-f]{16}-site\\.js\" defer></script>", text);
    }

    [Fact]
    public async Task The_stylesheet_is_named_by_its_content_and_may_be_kept_for_ever()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        string page = (await browser.OpenAsync("/sign-in")).Text;
        string path = System.Text.RegularExpressions.Regex.Match(page, "href=\"(/assets/[^\"]+css)\"").Groups[1].Value;
        Shown style = await browser.LookAsync(path);
        Assert.Equal(HttpStatusCode.OK, style.Status);
        Assert.Equal("text/css; charset=utf-8", style.Headers["Content-Type"]);
        Assert.Equal("public, max-age=31536000, immutable", style.Headers["Cache-Control"]);
        Assert.Equal(HttpStatusCode.NotFound, (await browser.LookAsync("/assets/0000000000000000-site.css")).Status);
    }

    [Fact]
    public async Task A_page_that_is_not_there_says_what_to_do_in_the_language_of_the_browser()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser english = site.Browse();
        Shown shown = await english.LookAsync("/nowhere");
        Assert.Equal(HttpStatusCode.NotFound, shown.Status);
        Assert.Contains("There is no such page", shown.Plain, StringComparison.Ordinal);
        using Browser german = site.Browse("fr;q=0.9, de-AT;q=0.8, en;q=0.1");
        Shown zeigt = await german.LookAsync("/nowhere");
        Assert.Contains("Diese Seite gibt es nicht", zeigt.Plain, StringComparison.Ordinal);
        Assert.Contains("<html lang=\"de\">", zeigt.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_wrong_method_gets_a_page_too()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        Shown shown = await browser.LookAsync("/sign-out");
        Assert.Equal(HttpStatusCode.MethodNotAllowed, shown.Status);
        Assert.Contains("Open the page and press the button", shown.Plain, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("evil.example", HttpStatusCode.MisdirectedRequest)]
    [InlineData("localhost", HttpStatusCode.OK)]
    [InlineData("127.0.0.1", HttpStatusCode.OK)]
    [InlineData("grafts.example.org", HttpStatusCode.OK)]
    [InlineData("192.0.2.7", HttpStatusCode.MisdirectedRequest)]
    public async Task Only_our_own_hosts_are_answered(string host, HttpStatusCode status)
    {
        await using SiteHarness site = await SiteHarness.StartAsync("public_address = \"https://grafts.example.org\"");
        using Browser browser = site.Browse();
        var request = new HttpRequestMessage(HttpMethod.Get, "/sign-in");
        request.Headers.Host = host;
        Assert.Equal(status, (await browser.SendAsync(request)).Status);
    }

    [Fact]
    public async Task Under_a_path_of_a_proxy_every_address_has_it_whether_the_proxy_takes_it_away_or_not()
    {
        await using SiteHarness site = await SiteHarness.StartAsync("public_address = \"https://example.org/orchard/letters\"");
        using Browser browser = site.Browse();
        foreach (string path in (string[])["/sign-in", "/orchard/letters/sign-in"])
        {
            Shown shown = await browser.LookAsync(path);
            Assert.Equal(HttpStatusCode.OK, shown.Status);
            Assert.Contains("href=\"/orchard/letters/assets/", shown.Text, StringComparison.Ordinal);
            Assert.Contains("action=\"/orchard/letters/sign-in\"", shown.Text, StringComparison.Ordinal);
        }

        Assert.Equal("/orchard/letters/sign-in", (await browser.LookAsync("/orchard/letters")).LeadsTo);
    }

    [Fact]
    public async Task A_trusted_proxy_is_believed_about_the_scheme_and_cookies_are_bound_to_it()
    {
        await using SiteHarness site = await SiteHarness.StartAsync("public_address = \"https://grafts.example.org\"\ntrusted_proxies = [\"127.0.0.1\"]");
        Shown shown = await ThroughProxyAsync(site);
        Assert.Equal("max-age=31536000", shown.Headers["Strict-Transport-Security"]);
        Assert.Matches("^__Host-gw-visit=[^;]+; path=/; secure; samesite=lax; httponly$", shown.Headers["Set-Cookie"]);
    }

    [Fact]
    public async Task Nobody_else_is_believed()
    {
        await using SiteHarness site = await SiteHarness.StartAsync("public_address = \"https://grafts.example.org\"\ntrusted_proxies = [\"10.0.0.0/8\"]");
        Shown shown = await ThroughProxyAsync(site);
        Assert.DoesNotContain("Strict-Transport-Security", shown.Headers.Keys);
        Assert.StartsWith("gw-visit=", shown.Headers["Set-Cookie"], StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("cross-site")]
    [InlineData("same-site")]
    [InlineData("none")]
    public async Task A_form_sent_from_elsewhere_is_refused_even_with_the_right_token(string from)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        string token = (await browser.OpenAsync("/sign-in")).FormToken;
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.PostAsync("/sign-in", from, [("_form", token), ("address", SiteHarness.Mara)])).Status);
        Assert.Equal(HttpStatusCode.SeeOther, (await browser.PostAsync("/sign-in", "same-origin", [("_form", token), ("address", SiteHarness.Mara)])).Status);
    }

    [Theory]
    [InlineData("https://evil.example", HttpStatusCode.Forbidden)]
    [InlineData("null", HttpStatusCode.Forbidden)]
    [InlineData("self", HttpStatusCode.SeeOther)]
    public async Task Without_fetch_metadata_the_origin_decides(string origin, HttpStatusCode status)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        string token = (await browser.OpenAsync("/sign-in")).FormToken;
        var request = new HttpRequestMessage(HttpMethod.Post, "/sign-in")
        {
            Content = new FormUrlEncodedContent([KeyValuePair.Create("_form", token), KeyValuePair.Create("address", SiteHarness.Mara)]),
        };
        request.Headers.TryAddWithoutValidation("Origin", origin == "self" ? site.Address.GetLeftPart(UriPartial.Authority) : origin);
        Assert.Equal(status, (await browser.SendAsync(request)).Status);
    }

    [Fact]
    public async Task A_form_without_its_token_or_with_the_token_of_another_browser_is_refused()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser mine = site.Browse();
        using Browser other = site.Browse();
        await mine.OpenAsync("/sign-in");
        string foreign = (await other.OpenAsync("/sign-in")).FormToken;
        foreach (string token in (string[])["", "x", foreign])
        {
            Assert.Equal(HttpStatusCode.Forbidden, (await mine.PostAsync("/sign-in", ("_form", token), ("address", SiteHarness.Mara))).Status);
        }
    }

    [Fact]
    public async Task A_form_that_is_too_large_is_refused_with_a_page()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        string token = (await browser.OpenAsync("/sign-in")).FormToken;
        Shown shown = await browser.PostAsync("/sign-in", ("_form", token), ("address", new string('a', 70_000)));
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, shown.Status);
        Assert.Contains("too much at once", shown.Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_form_with_thousands_of_fields_is_refused()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        string token = (await browser.OpenAsync("/sign-in")).FormToken;
        (string, string)[] many = [("_form", token), .. Enumerable.Range(0, 5000).Select(i => ($"f{i}", "1"))];
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, (await browser.PostAsync("/sign-in", many)).Status);
    }

    [Theory]
    [InlineData("/assets/../graftwatch.toml")]
    [InlineData("/assets/..%2f..%2fgraftwatch.toml")]
    [InlineData("/%2e%2e/%2e%2e/etc/passwd")]
    [InlineData("/sign-in/..%2f..%2fdata%2fgraftwatch.db")]
    [InlineData("/assets/%00")]
    public async Task No_path_leads_out_of_the_pages(string path)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        var request = new HttpRequestMessage(HttpMethod.Get, new Uri(site.Address + path[1..], new UriCreationOptions { DangerousDisablePathAndQueryCanonicalization = true }));
        Shown shown = await browser.SendAsync(request);
        Assert.Contains(shown.Status, new[] { HttpStatusCode.NotFound, HttpStatusCode.BadRequest });
        Assert.DoesNotContain("data_folder", shown.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Health_keeps_its_two_addresses()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        await site.WaitAsync(() => browser.LookAsync("/live").Result.Status == HttpStatusCode.OK, "the first look through the mornings");
        Assert.Equal("text/plain; charset=utf-8", (await browser.LookAsync("/ready")).Headers["Content-Type"]);
    }

    private static async Task<Shown> ThroughProxyAsync(SiteHarness site)
    {
        using Browser browser = site.Browse();
        var request = new HttpRequestMessage(HttpMethod.Get, "/sign-in");
        request.Headers.Host = "grafts.example.org";
        request.Headers.TryAddWithoutValidation("X-Forwarded-For", "198.51.100.4");
        request.Headers.TryAddWithoutValidation("X-Forwarded-Proto", "https");
        return await browser.SendAsync(request);
    }
}

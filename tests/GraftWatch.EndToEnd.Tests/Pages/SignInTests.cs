using System.Net;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class SignInTests
{
    [Fact]
    public async Task Without_a_public_address_a_mail_leads_to_where_the_pages_answer()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        await browser.PressAsync("/sign-in", "/sign-in", ("address", SiteHarness.Mara), ("to", string.Empty));
        string mail = await site.MailTextAsync(SiteHarness.Mara);
        Assert.Contains($"\n{site.Address.GetLeftPart(UriPartial.Authority)}/sign-in/", mail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_link_by_mail_signs_in_once()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        await browser.PressAsync("/sign-in", "/sign-in", ("address", SiteHarness.Mara.ToUpperInvariant()), ("to", "/grafts?page=2"));
        string mail = await site.MailTextAsync(SiteHarness.Mara);
        string link = Browser.LinkIn(mail);
        Assert.Contains("fifteen minutes", mail, StringComparison.Ordinal);

        Shown shown = await browser.OpenAsync(link);
        Assert.Contains("m…@s….example", shown.Plain, StringComparison.Ordinal);
        Shown entered = await browser.PostAsync(link, ("_form", shown.FormToken));
        Assert.Equal("/grafts?page=2", entered.LeadsTo);
        Assert.Contains("Mara", (await browser.OpenAsync("/sign-in")).Plain, StringComparison.Ordinal);

        using Browser second = site.Browse();
        Shown again = await second.OpenAsync(link);
        Assert.Equal(HttpStatusCode.NotFound, again.Status);
        Assert.Contains("no longer works", again.Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_mail_says_it_is_automatic_and_tells_nothing_of_this_machine()
    {
        await using SiteHarness site = await SiteHarness.StartAsync("public_address = \"https://example.org/orchard\"");
        using Browser browser = site.Browse("de");
        await browser.PressAsync("/orchard/sign-in", "/orchard/sign-in", ("address", SiteHarness.Mara));
        string mail = await site.MailTextAsync(SiteHarness.Mara);
        Assert.Contains("https://example.org/orchard/sign-in/", mail, StringComparison.Ordinal);
        Assert.Contains("Dieser Link meldet Sie", mail, StringComparison.Ordinal);
        MimeKit.MimeMessage message = site.MailsTo(SiteHarness.Mara)[0].Parse();
        Assert.Equal("auto-generated", message.Headers["Auto-Submitted"]);
        Assert.Equal("Ihr Link zum Anmelden", message.Subject);
        Assert.EndsWith("@sorrelbank.example", message.MessageId, StringComparison.Ordinal);
        Assert.DoesNotContain(Environment.MachineName, message.Headers.ToString(), StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task Scanners_that_open_the_link_use_nothing_up()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        await browser.PressAsync("/sign-in", "/sign-in", ("address", SiteHarness.Mara));
        string link = Browser.LinkIn(await site.MailTextAsync(SiteHarness.Mara));
        using Browser scanner = site.Browse();
        for (int i = 0; i < 30; i++)
        {
            Assert.Equal(HttpStatusCode.OK, (await scanner.LookAsync(link)).Status);
            Assert.Equal(HttpStatusCode.OK, (await scanner.SendAsync(new HttpRequestMessage(HttpMethod.Head, link))).Status);
        }

        Assert.Equal(HttpStatusCode.SeeOther, (await browser.PressAsync(link, link)).Status);
    }

    [Fact]
    public async Task Known_and_unknown_addresses_get_the_same_answer_and_only_the_known_one_a_mail()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        Shown unknown = await browser.PressAsync("/sign-in", "/sign-in", ("address", "nobody@example.org"));
        Shown known = await browser.PressAsync("/sign-in", "/sign-in", ("address", SiteHarness.Mara));
        Assert.Equal((known.Status, known.LeadsTo, known.Text), (unknown.Status, unknown.LeadsTo, unknown.Text));
        await site.MailTextAsync(SiteHarness.Mara);
        Assert.Empty(site.MailsTo("nobody@example.org"));
    }

    [Fact]
    public async Task After_fifteen_minutes_the_link_is_over()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        await browser.PressAsync("/sign-in", "/sign-in", ("address", SiteHarness.Mara));
        string link = Browser.LinkIn(await site.MailTextAsync(SiteHarness.Mara));
        string token = (await browser.OpenAsync("/sign-in")).FormToken;
        site.Clock.Advance(TimeSpan.FromMinutes(15));
        Assert.Equal(HttpStatusCode.NotFound, (await browser.PostAsync(link, ("_form", token))).Status);
        Assert.DoesNotContain("gw-session", browser.Cookies.GetCookieHeader(site.Address), StringComparison.Ordinal);
    }

    [Fact]
    public async Task While_the_mail_server_is_away_the_link_waits_and_comes_once_when_it_is_back()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        await site.WithoutMailAsync(async () =>
        {
            await browser.PressAsync("/sign-in", "/sign-in", ("address", SiteHarness.Mara));
            await site.WaitAsync(() => site.LogLines.Any(line => line.Contains("PageMailNotTaken", StringComparison.Ordinal)), "the first try");
        });
        for (int i = 0; i < 10 && site.Mail.Received.Count == 0; i++)
        {
            site.Clock.Advance(TimeSpan.FromSeconds(31));
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }

        string link = Browser.LinkIn(await site.MailTextAsync(SiteHarness.Mara));
        site.Clock.Advance(TimeSpan.FromMinutes(3));
        Assert.Equal(HttpStatusCode.SeeOther, (await browser.PressAsync(link, link)).Status);
        Assert.Single(site.MailsTo(SiteHarness.Mara));
    }

    [Fact]
    public async Task An_address_gets_at_most_three_links_in_a_quarter_of_an_hour()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        for (int i = 0; i < 6; i++)
        {
            using Browser browser = site.Browse();
            await browser.PressAsync("/sign-in", "/sign-in", ("address", SiteHarness.Mara));
        }

        await site.MailTextAsync(SiteHarness.Mara, 3);
        await Task.Delay(40, TestContext.Current.CancellationToken);
        Assert.Equal(3, site.MailsTo(SiteHarness.Mara).Count);
    }

    [Fact]
    public async Task Ten_thousand_tries_are_answered_with_429_and_leave_no_trace()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        string token = (await browser.OpenAsync("/sign-in")).FormToken;
        long before = GC.GetTotalMemory(forceFullCollection: true);
        int refused = 0;
        for (int i = 0; i < 10_000; i++)
        {
            Shown shown = await browser.PostAsync("/sign-in", ("_form", token), ("address", $"guess{i}@example.org"));
            refused += shown.Status == HttpStatusCode.TooManyRequests ? 1 : 0;
        }

        Assert.InRange(refused, 9_900, 10_000);
        Assert.InRange(GC.GetTotalMemory(forceFullCollection: true) - before, long.MinValue, 20_000_000);
        Assert.Empty(site.Mail.Received);
    }

    [Theory]
    [InlineData("mara@sorrelbank.example\r\nBcc: eve@example.org")]
    [InlineData("mara@sorrelbank.example,eve@example.org")]
    [InlineData("<script>alert(1)</script>@example.org")]
    [InlineData("mara@sorrelbank.example%0d%0aBcc:eve@example.org")]
    [InlineData("")]
    [InlineData("mara")]
    public async Task An_address_that_cannot_be_one_is_shown_again_as_text_and_goes_nowhere(string address)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        Shown shown = await browser.PressAsync("/sign-in", "/sign-in", ("address", address));
        Assert.Equal(HttpStatusCode.OK, shown.Status);
        Assert.Contains("aria-invalid=\"true\"", shown.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("<script>alert", shown.Text, StringComparison.Ordinal);
        Assert.Empty(site.Mail.Received);
    }

    [Theory]
    [InlineData("https://evil.example/")]
    [InlineData("//evil.example/")]
    [InlineData("/\\evil.example")]
    [InlineData("javascript:alert(1)")]
    public async Task A_link_never_leads_to_another_site(string target)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        await browser.PressAsync("/sign-in", "/sign-in", ("address", SiteHarness.Mara), ("to", target));
        string link = Browser.LinkIn(await site.MailTextAsync(SiteHarness.Mara));
        Assert.Equal("/", (await browser.PressAsync(link, link)).LeadsTo);
    }

    [Fact]
    public async Task Signing_out_ends_the_session_also_for_who_kept_the_cookie()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await site.SignInAsync(SiteHarness.Mara);
        string cookies = browser.Cookies.GetCookieHeader(site.Address);
        Shown left = await browser.PressAsync("/sign-in", "/sign-out");
        Assert.Equal("/sign-in?said=signed-out", left.LeadsTo);
        Assert.Contains("You are signed out", (await browser.OpenAsync(left.LeadsTo!)).Plain, StringComparison.Ordinal);

        using Browser thief = site.Browse();
        var request = new HttpRequestMessage(HttpMethod.Get, "/sign-in");
        request.Headers.Add("Cookie", cookies);
        Assert.DoesNotContain("Mara", (await thief.SendAsync(request)).Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_session_lasts_ninety_days_after_its_last_use_and_over_restarts()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await site.SignInAsync(SiteHarness.Mara);
        string cookies = browser.Cookies.GetCookieHeader(site.Address);
        for (int i = 0; i < 2; i++)
        {
            await site.RestartAsync(days: 89);
            Assert.Contains("Mara", await NameAsync(site, cookies), StringComparison.Ordinal);
        }

        await site.RestartAsync(days: 91);
        Assert.DoesNotContain("Mara", await NameAsync(site, cookies), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Neither_links_nor_sessions_stand_in_the_store_or_in_the_log()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = site.Browse();
        await browser.SignInAsync(site, SiteHarness.Mara);
        string token = Browser.LinkIn(await site.MailTextAsync(SiteHarness.Mara))["/sign-in/".Length..];
        string session = browser.Cookies.GetCookies(site.Address)["gw-session"]!.Value;
        await site.RestartAsync();
        foreach (string file in Directory.GetFiles(Path.Combine(site.Folder, "data")).Where(name => !name.EndsWith(".lock", StringComparison.Ordinal)))
        {
            await using var stream = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
            using var reader = new StreamReader(stream, System.Text.Encoding.Latin1);
            string content = await reader.ReadToEndAsync(TestContext.Current.CancellationToken);
            Assert.DoesNotContain(session, content, StringComparison.Ordinal);
            Assert.DoesNotContain(System.Text.Encoding.ASCII.GetString(System.Text.Encoding.ASCII.GetBytes(token)), content, StringComparison.Ordinal);
        }

        Assert.DoesNotContain(site.LogLines, line => line.Contains(token, StringComparison.Ordinal) || line.Contains(session, StringComparison.Ordinal));
    }

    private static async Task<string> NameAsync(SiteHarness site, string cookies)
    {
        using Browser browser = site.Browse();
        var request = new HttpRequestMessage(HttpMethod.Get, "/sign-in");
        request.Headers.Add("Cookie", cookies);
        return (await browser.SendAsync(request)).Plain;
    }
}

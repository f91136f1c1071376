using System.Net;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class AddressTests
{
    private const string Jonas = "jonas@hollowfield.example";
    private const string New = "jonas@newplace.example";

    [Fact]
    public async Task The_address_changes_when_the_button_behind_the_link_is_pressed_and_the_old_one_is_told()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        int before = site.MailsTo(Jonas).Count;
        string link = await AskAsync(site, browser, New);
        string notice = await site.MailTextAsync(Jonas, before + 1);
        Assert.Contains("j…@n….example", notice, StringComparison.Ordinal);
        Assert.DoesNotContain("/address/", notice, StringComparison.Ordinal);
        Assert.DoesNotContain(New, notice, StringComparison.Ordinal);

        Shown shown = await browser.OpenAsync(link);
        Assert.Contains("Nothing has happened yet", shown.Plain, StringComparison.Ordinal);
        Assert.Equal(Jonas, Assert.Single(await site.Store.Book.LoadGrowersAsync(default)).Address);
        using Browser other = await site.SignInAsync(Jonas);

        Assert.Equal("/you?said=address-changed", (await browser.PressAsync(link, link)).LeadsTo);
        Assert.Equal(New, Assert.Single(await site.Store.Book.LoadGrowersAsync(default)).Address);
        Assert.Equal(New, Assert.Single(await site.Store.Book.LoadChannelsAsync("Jonas", default)).Target);
        Assert.Contains($"Letters go to {New}", (await browser.OpenAsync("/you")).Plain, StringComparison.Ordinal);
        Assert.StartsWith("/sign-in", (await other.LookAsync("/you")).LeadsTo, StringComparison.Ordinal);
        using Browser again = await site.SignInAsync(New);
        Assert.Equal(HttpStatusCode.OK, (await again.LookAsync("/you")).Status);
    }

    [Fact]
    public async Task A_stranger_whose_address_was_typed_by_mistake_gets_no_account()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        string link = await AskAsync(site, browser, "eve@example.org");
        using Browser stranger = site.Browse();
        using Browser mara = await site.SignInAsync(SiteHarness.Mara);
        foreach (Browser other in (Browser[])[stranger, mara])
        {
            Shown shown = await other.LookAsync(link);
            Assert.Equal(HttpStatusCode.Forbidden, shown.Status);
            Assert.Contains("in the browser where you are signed in", shown.Plain, StringComparison.Ordinal);
            Assert.DoesNotContain(Jonas, shown.Plain, StringComparison.Ordinal);
            Assert.Equal(HttpStatusCode.Forbidden, (await other.PressAsync("/sign-in", link)).Status);
        }

        Assert.Equal(Jonas, Assert.Single(await site.Store.Book.LoadGrowersAsync(default)).Address);
        Assert.StartsWith("/sign-in", (await stranger.LookAsync("/you")).LeadsTo, StringComparison.Ordinal);
        Assert.Equal("/you?said=address-changed", (await browser.PressAsync(link, link)).LeadsTo);
    }

    [Fact]
    public async Task A_link_works_once_and_never_as_a_sign_in()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        string link = await AskAsync(site, browser, New);
        using Browser thief = site.Browse();
        string token = link["/address/".Length..];
        foreach (string folder in (string[])["/sign-in/", "/subscribe/"])
        {
            Assert.Equal(HttpStatusCode.NotFound, (await thief.LookAsync(folder + token)).Status);
            Assert.Equal(HttpStatusCode.NotFound, (await thief.PressAsync("/sign-in", folder + token)).Status);
        }

        Assert.Equal(HttpStatusCode.SeeOther, (await browser.PressAsync(link, link)).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await thief.LookAsync(link)).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await thief.PressAsync("/sign-in", link)).Status);
        Assert.StartsWith("/sign-in", (await thief.LookAsync("/you")).LeadsTo, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_link_to_sign_in_changes_no_address()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser stranger = site.Browse();
        await stranger.PressAsync("/sign-in", "/sign-in", ("address", SiteHarness.Mara), ("to", string.Empty));
        string token = Browser.LinkIn(await site.MailTextAsync(SiteHarness.Mara))["/sign-in/".Length..];
        Assert.Equal(HttpStatusCode.NotFound, (await stranger.LookAsync("/address/" + token)).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await stranger.PressAsync("/sign-in", "/address/" + token)).Status);
        Assert.Equal(HttpStatusCode.OK, (await stranger.LookAsync("/sign-in/" + token)).Status);
    }

    [Fact]
    public async Task A_known_address_gets_the_same_answer_and_no_link()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        int told = site.MailsTo(Jonas).Count;
        Shown unknown = await browser.PressAsync("/you/address", "/you/address", ("address", New));
        Shown ofFile = await browser.PressAsync("/you/address", "/you/address", ("address", SiteHarness.Mara));
        Shown ofOperator = await browser.PressAsync("/you/address", "/you/address", ("address", SiteHarness.Operator));
        Assert.Equal((HttpStatusCode.SeeOther, "/you/address/sent"), (unknown.Status, unknown.LeadsTo));
        Assert.Equal((unknown.Status, unknown.LeadsTo), (ofFile.Status, ofFile.LeadsTo));
        Assert.Equal((unknown.Status, unknown.LeadsTo), (ofOperator.Status, ofOperator.LeadsTo));
        await site.MailTextAsync(Jonas, told + 3);
        await site.MailTextAsync(New);
        Assert.Empty(site.MailsTo(SiteHarness.Mara));
        Assert.Empty(site.MailsTo(SiteHarness.Operator));
    }

    [Theory]
    [InlineData("x@y.example\r\nBcc: eve@example.org")]
    [InlineData("x@y.example, eve@example.org")]
    [InlineData("<script>alert(1)</script>@y.example")]
    [InlineData("\"x\" <eve@example.org>")]
    [InlineData("nobody")]
    [InlineData("")]
    public async Task What_is_no_address_comes_back_encoded_and_writes_to_nobody(string typed)
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        Shown shown = await browser.PressAsync("/you/address", "/you/address", ("address", typed));
        Assert.Equal(HttpStatusCode.OK, shown.Status);
        Assert.Contains("class=\"fault\"", shown.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("<script>alert", shown.Text, StringComparison.Ordinal);
        Assert.Empty(site.MailsTo("eve@example.org"));
        Assert.Equal(0, await site.Store.PageMails.CountWaitingAsync(default));
    }

    [Fact]
    public async Task Signing_all_out_voids_what_an_intruder_asked_for()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, Jonas);
        string link = await AskAsync(site, browser, "eve@example.org");
        await browser.PressAsync("/you", "/you/devices/end");
        using Browser eve = site.Browse();
        Assert.Equal(HttpStatusCode.NotFound, (await eve.LookAsync(link)).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await eve.PressAsync("/sign-in", link)).Status);
        Assert.Equal(Jonas, Assert.Single(await site.Store.Book.LoadGrowersAsync(default)).Address);
    }

    [Fact]
    public async Task Forged_forms_ask_for_nothing_and_who_stands_in_the_file_is_sent_to_the_operator()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser jonas = await SubscribeTests.SubscribedAsync(site, Jonas);
        using Browser stranger = site.Browse();
        string foreign = (await stranger.OpenAsync("/sign-in")).FormToken;
        string own = (await jonas.OpenAsync("/you/address")).FormToken;
        Assert.Equal(HttpStatusCode.Forbidden, (await jonas.PostAsync("/you/address", ("address", New))).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await jonas.PostAsync("/you/address", ("_form", foreign), ("address", New))).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await jonas.PostAsync("/you/address", "cross-site", [("_form", own), ("address", New)])).Status);
        Assert.Empty(site.MailsTo(New));

        using Browser mara = await site.SignInAsync(SiteHarness.Mara);
        Shown you = await mara.OpenAsync("/you");
        Assert.Contains("your mail address too, stands in the operator's settings file", you.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("/you/address", you.Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Forbidden, (await mara.PressAsync("/you", "/you/address", ("address", New))).Status);
        Assert.Equal("/you", (await mara.LookAsync("/you/address")).LeadsTo);
    }

    private static async Task<string> AskAsync(SiteHarness site, Browser browser, string address)
    {
        Assert.Equal("/you/address/sent", (await browser.PressAsync("/you/address", "/you/address", ("address", address))).LeadsTo);
        return Browser.LinkIn(await site.MailTextAsync(address));
    }
}

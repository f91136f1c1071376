using System.Net;
using System.Text.RegularExpressions;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Links;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed partial class LetterLinkTests
{
    private const string Page = "public_address = \"http://127.0.0.1:8620\"";

    [Fact]
    public async Task A_line_of_the_letter_is_marked_as_done_once_and_taken_back()
    {
        await using SiteHarness site = await WithLetterAsync();
        string done = await LinkAsync(site, WorkAnswer.Done);
        using Browser browser = site.Browse();
        Shown asked = await browser.LookAsync(done);
        Assert.Equal(HttpStatusCode.OK, asked.Status);
        Assert.Contains("Nothing has happened yet", asked.Plain, StringComparison.Ordinal);
        Assert.Empty(await AnswersAsync(site));

        Shown acted = await browser.PostAsync(done, null, []);
        Assert.Contains("Marked as done", acted.Plain, StringComparison.Ordinal);
        await browser.PostAsync(done, null, []);
        NotedAnswer answer = Assert.Single(await AnswersAsync(site));
        Assert.Equal((SaidState.Done, new LocalDate(2026, 5, 12)), (answer.Answer.State, answer.Answer.On!.Value));
        int notes = (await site.Store.Keeper.LoadNotesAsync("Mara", default)).Count(note => note.UndoneAt is null);

        string undo = new Uri(Action().Match(acted.Text).Groups[1].Value).AbsolutePath;
        Assert.Contains("taken back", (await browser.PostAsync(undo, null, [])).Plain, StringComparison.Ordinal);
        Assert.NotNull(Assert.Single(await AnswersAsync(site)).UndoneAt);
        Assert.All(await site.Store.Keeper.LoadNotesAsync("Mara", default), note => Assert.NotNull(note.UndoneAt));
        Assert.True(notes >= 0);
        await browser.PostAsync(undo, null, []);
        await browser.PostAsync(done, null, []);
        Assert.Equal(2, (await AnswersAsync(site)).Count);
    }

    [Theory]
    [InlineData(WorkAnswer.PutOff, SaidState.PutOff)]
    [InlineData(WorkAnswer.NotNeeded, SaidState.NotNeeded)]
    public async Task Work_is_put_off_or_not_needed(WorkAnswer link, SaidState state)
    {
        await using SiteHarness site = await WithLetterAsync();
        using Browser browser = site.Browse();
        await browser.PostAsync(await LinkAsync(site, link), null, []);
        NotedAnswer answer = Assert.Single(await AnswersAsync(site));
        Assert.Equal(state, answer.Answer.State);
        Assert.Equal(state == SaidState.PutOff ? new LocalDate(2026, 5, 13) : null, answer.Answer.Until);
        Assert.Empty(await site.Store.Keeper.LoadNotesAsync("Mara", default));
    }

    [Fact]
    public async Task No_number_of_looks_changes_anything()
    {
        await using SiteHarness site = await WithLetterAsync();
        using Browser scanner = site.Browse();
        string[] links = [.. Links().Matches(await LetterAsync(site)).Select(match => match.Value).Distinct()];
        Assert.True(links.Length > 5);
        foreach (string link in links)
        {
            foreach (HttpMethod method in (HttpMethod[])[HttpMethod.Get, HttpMethod.Head, HttpMethod.Get])
            {
                Assert.Contains((await scanner.SendAsync(new HttpRequestMessage(method, link))).Status, new[] { HttpStatusCode.OK, HttpStatusCode.SeeOther });
            }
        }

        Assert.Empty(await AnswersAsync(site));
        Assert.Null(await site.Store.Stops.FindStopAsync("Mara", default));
    }

    // RFC 8058, 3.2: a POST with "List-Unsubscribe=One-Click", without cookies or any other context.
    [Fact]
    public async Task One_click_of_a_mail_program_stops_the_letters_and_the_page_starts_them_again()
    {
        await using SiteHarness site = await WithLetterAsync();
        string stop = Links().Matches(await LetterAsync(site)).Select(match => match.Value).Last();
        using Browser mailProgram = site.Browse();
        Shown stopped = await mailProgram.PostAsync(stop, null, [("List-Unsubscribe", "One-Click")]);
        Assert.Equal(HttpStatusCode.OK, stopped.Status);
        Assert.Contains("The letters are stopped; nothing is deleted", stopped.Plain, StringComparison.Ordinal);
        Assert.Equal(StoppedBy.Grower, (await site.Store.Stops.FindStopAsync("Mara", default))!.By);
        await site.UntilAsync("2026-05-12T04:00:00Z");
        int before = site.MailsTo(SiteHarness.Mara).Count;

        string again = new Uri(Action().Match(stopped.Text).Groups[1].Value).AbsolutePath;
        await mailProgram.PostAsync(again, null, []);
        Assert.Null(await site.Store.Stops.FindStopAsync("Mara", default));
        Assert.Equal(before, site.MailsTo(SiteHarness.Mara).Count);
    }

    [Fact]
    public async Task Links_need_no_cookie_and_sign_nobody_in()
    {
        await using SiteHarness site = await WithLetterAsync();
        using Browser browser = site.Browse();
        Shown acted = await browser.PostAsync(await LinkAsync(site, WorkAnswer.Done), null, []);
        Assert.DoesNotContain("Set-Cookie", acted.Headers.Keys);
        Assert.StartsWith("/sign-in", (await browser.LookAsync("/you")).LeadsTo, StringComparison.Ordinal);
        Shown page = await browser.LookAsync(await LinkAsync(site, WorkAnswer.Page));
        Assert.Equal("/today", page.LeadsTo);
    }

    [Fact]
    public async Task Every_answer_has_the_headers_of_these_pages()
    {
        await using SiteHarness site = await WithLetterAsync();
        using Browser browser = site.Browse();
        foreach (string path in (string[])[await LinkAsync(site, WorkAnswer.Done), "/w/nonsense"])
        {
            Shown shown = await browser.LookAsync(path);
            foreach ((string name, string value) in ActionPages.Headers)
            {
                Assert.Equal(value, shown.Headers[name]);
            }
        }
    }

    [Fact]
    public async Task Changed_foreign_and_ended_links_do_nothing()
    {
        await using SiteHarness site = await WithLetterAsync();
        using Browser browser = site.Browse();
        string done = await LinkAsync(site, WorkAnswer.Done);
        string changed = done[..^1] + (done[^1] == 'A' ? 'B' : 'A');
        string foreign = "/w/" + new ActionLinks(new Uri("http://127.0.0.1:8620"), [new byte[32]]).Token(new ActionLink(WorkAnswer.Stop, "Mara", new LocalDate(2026, 5, 12), string.Empty, site.Now + Duration.FromDays(1)));
        foreach (string path in (string[])[changed, foreign, "/w/x", "/w/" + new string('A', 1500)])
        {
            Shown shown = await browser.PostAsync(path, null, []);
            Assert.Equal(HttpStatusCode.NotFound, shown.Status);
            Assert.DoesNotContain("Mara", shown.Plain, StringComparison.Ordinal);
        }

        site.Clock.Advance(TimeSpan.FromDays(15));
        Shown ended = await browser.PostAsync(done, null, []);
        Assert.Equal(HttpStatusCode.Gone, ended.Status);
        Assert.Contains("This link has ended", ended.Plain, StringComparison.Ordinal);
        Assert.Empty(await AnswersAsync(site));
    }

    [Fact]
    public async Task Guessing_links_is_answered_with_429()
    {
        await using SiteHarness site = await SiteHarness.StartAsync(Page);
        using Browser browser = site.Browse();
        HttpStatusCode last = HttpStatusCode.OK;
        for (int i = 0; i < 40; i++)
        {
            last = (await browser.LookAsync("/w/" + new string((char)('A' + (i % 26)), 60))).Status;
        }

        Assert.Equal(HttpStatusCode.TooManyRequests, last);
    }

    [Fact]
    public async Task A_calendar_is_fetched_with_its_address_alone_until_it_gets_another()
    {
        await using SiteHarness site = await WithLetterAsync();
        using Browser mara = await site.SignInAsync(SiteHarness.Mara);
        await mara.PressAsync("/you", "/you/calendar");
        string path = Feed().Match((await mara.OpenAsync("/you")).Text).Groups[1].Value;
        using Browser program = site.Browse();
        Shown feed = await program.LookAsync(path);
        Assert.Equal("text/calendar; charset=utf-8", feed.Headers["Content-Type"]);
        Assert.StartsWith("BEGIN:VCALENDAR\r\n", feed.Text, StringComparison.Ordinal);
        Assert.Contains("NAME:GraftWatch Mara", feed.Text, StringComparison.Ordinal);

        var again = new HttpRequestMessage(HttpMethod.Get, path);
        again.Headers.TryAddWithoutValidation("If-None-Match", feed.Headers["ETag"]);
        Assert.Equal(HttpStatusCode.NotModified, (await program.SendAsync(again)).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await program.LookAsync(path.Replace(".ics", "x.ics", StringComparison.Ordinal))).Status);

        await mara.PressAsync("/you", "/you/calendar");
        Assert.Equal(HttpStatusCode.NotFound, (await program.LookAsync(path)).Status);
        string fresh = Feed().Match((await mara.OpenAsync("/you")).Text).Groups[1].Value;
        Assert.Equal(HttpStatusCode.OK, (await program.LookAsync(fresh)).Status);
        await mara.PressAsync("/you", "/you/calendar/close");
        Assert.Equal(HttpStatusCode.NotFound, (await program.LookAsync(fresh)).Status);
    }

    private static async Task<SiteHarness> WithLetterAsync()
    {
        SiteHarness site = await SiteHarness.StartAsync(Page, "2026-05-12T03:29:00Z");
        await site.UntilAsync("2026-05-12T03:33:00Z");
        await site.WaitAsync(() => site.MailsTo(SiteHarness.Mara).Count > 0, "the letter");
        return site;
    }

    private static async Task<string> LetterAsync(SiteHarness site)
    {
        await Task.CompletedTask;
        return site.MailsTo(SiteHarness.Mara)[0].Parse().TextBody!;
    }

    /// <summary>The first link of the letter that asks for something, as a path.</summary>
    private static async Task<string> LinkAsync(SiteHarness site, WorkAnswer answer)
    {
        var reader = new ActionLinks(new Uri("http://127.0.0.1:8620"), [await site.Store.Notes.LoadSecretAsync(default)]);
        return Links().Matches(await LetterAsync(site)).Select(match => match.Value)
            .First(path => reader.TryRead(path["/w/".Length..], site.Now, out ActionLink? link) == LinkState.Good && link!.Answer == answer);
    }

    private static Task<IReadOnlyList<NotedAnswer>> AnswersAsync(SiteHarness site) => site.Store.Answers.LoadAnswersAsync("Mara", Instant.MinValue + Duration.FromDays(400), default);

    [GeneratedRegex("/w/[A-Za-z0-9_-]+")]
    private static partial Regex Links();

    [GeneratedRegex("action=\"(http[^\"]+)\"")]
    private static partial Regex Action();

    [GeneratedRegex("href=\"(/calendar/[^\"]+)\"")]
    private static partial Regex Feed();
}

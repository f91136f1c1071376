using System.Globalization;
using System.Net;
using System.Text;
using GraftWatch.Records.Housekeeping;
using GraftWatch.Rounds.Ports;
using MimeKit;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class OperatorLetterTests
{
    private static readonly LocalDate Day = new(2026, 5, 1);

    [Fact]
    public async Task Letters_are_listed_by_how_far_they_have_come_and_page_by_page()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await FillAsync(site, 130);
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Shown first = await runs.OpenAsync("/operator/letters");
        Assert.Contains("No. 130 ", first.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("No. 80 ", first.Plain, StringComparison.Ordinal);
        string older = WebUtility.HtmlDecode(System.Text.RegularExpressions.Regex.Match(first.Text, "href=\"(/operator/letters\\?before=[0-9]+)\"").Groups[1].Value);
        Shown second = await runs.OpenAsync(older);
        Assert.Contains("No. 80 ", second.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("No. 81 ", second.Plain, StringComparison.Ordinal);

        Assert.Contains("waiting because", (await runs.OpenAsync("/operator/letters?state=waiting")).Plain, StringComparison.Ordinal);
        Assert.Contains("handed over", (await runs.OpenAsync("/operator/letters?state=handed-over")).Plain, StringComparison.Ordinal);
        Shown late = await runs.OpenAsync("/operator/letters?state=too-late&grower=Mara");
        Assert.Contains("No. 3 ", late.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("No. 2 ", late.Plain, StringComparison.Ordinal);
        Assert.Contains("No letters.", (await runs.OpenAsync("/operator/letters?grower=Nobody")).Plain, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.OK, (await runs.OpenAsync("/operator/letters?state=%3Cb%3E&before=-1&grower=%00")).Status);
    }

    [Fact]
    public async Task One_letter_shows_its_text_its_tries_with_the_servers_words_and_no_link_that_acts()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await FillAsync(site, 3);
        ShelvedLetter letter = (await site.Store.Shelf.LoadAsync(new ShelfWish { State = ShelfState.TooLate }, 1, default))[0];
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Shown shown = await runs.OpenAsync("/operator/letters/" + letter.Id.ToString(CultureInfo.InvariantCulture));
        Assert.Contains("451 <come> back", shown.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("<come>", shown.Text, StringComparison.Ordinal);
        Assert.Contains("Shade No. 3", shown.Plain, StringComparison.Ordinal);
        Assert.Contains("Done        …", shown.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("AbCdEf", shown.Text, StringComparison.Ordinal);
        foreach (string none in (string[])["0", "999999", "99999999999999999999", "x", "-1", "1%2F..%2F.."])
        {
            Assert.Equal(HttpStatusCode.NotFound, (await runs.LookAsync("/operator/letters/" + none)).Status);
        }
    }

    [Fact]
    public async Task A_letter_that_was_let_go_says_so_and_shows_everything_else()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        await FillAsync(site, 4);
        await site.Store.House.TidyAsync(Day, Retention.Usual, [], default);
        ShelvedLetter letter = (await site.Store.Shelf.LoadAsync(new ShelfWish { State = ShelfState.TooLate }, 1, default))[0];
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Shown shown = await runs.OpenAsync("/operator/letters/" + letter.Id.ToString(CultureInfo.InvariantCulture));
        Assert.Contains("The text of this letter was let go after 14 days; it had 1 kB.", shown.Plain, StringComparison.Ordinal);
        Assert.Contains("No. 3 · shade", shown.Plain, StringComparison.Ordinal);
        Assert.Contains("451 <come> back", shown.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("Done        …", shown.Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_test_letter_is_a_real_round_to_the_operator_alone_and_takes_no_slot()
    {
        await using SiteHarness site = await SiteHarness.StartAsync("public_address = \"https://grafts.example.org\"");
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Shown began = await runs.PressAsync("/operator/growers/one?name=Mara", "/operator/growers/test-letter", ("name", "Mara"));
        Assert.Equal("/operator/growers/one?name=Mara&said=test-began", began.LeadsTo);
        await site.WaitAsync(() => site.MailsTo(SiteHarness.Operator).Count == 2, "the test letter");
        MimeMessage mail = site.MailsTo(SiteHarness.Operator)[1].Parse();
        Assert.StartsWith("Test · ", mail.Subject, StringComparison.Ordinal);
        Assert.Contains("This is a test", mail.TextBody, StringComparison.Ordinal);
        Assert.Contains("A1-01", mail.TextBody, StringComparison.Ordinal);
        Assert.DoesNotContain("/w/", mail.TextBody, StringComparison.Ordinal);
        Assert.DoesNotContain(mail.Headers, header => header.Field.StartsWith("List-Unsubscribe", StringComparison.OrdinalIgnoreCase));
        Assert.StartsWith("test.", mail.MessageId, StringComparison.Ordinal);
        Assert.Empty(site.MailsTo(SiteHarness.Mara));
        Assert.Empty(await site.Store.Shelf.LoadAsync(new ShelfWish(), 10, default));
        Assert.Equal(1, await site.Store.Ledger.NextNumberAsync("Mara", default));
        Shown shown = await runs.OpenAsync("/operator/growers/one?name=Mara");
        for (int look = 0; look < 100 && !shown.Plain.Contains(": taken: ", StringComparison.Ordinal); look++)
        {
            await Task.Delay(50, TestContext.Current.CancellationToken);
            shown = await runs.OpenAsync("/operator/growers/one?name=Mara");
        }

        Assert.Contains(": taken: ", shown.Plain, StringComparison.Ordinal);
    }

    private static async Task FillAsync(SiteHarness site, int count)
    {
        for (int number = 1; number <= count; number++)
        {
            string text = $"Subject: x\r\nContent-Type: text/plain; charset=utf-8\r\n\r\nShade No. {number}\r\nDone        https://grafts.example.org/w/AbCdEf-123_456\r\n";
            // They go by a way that is not set up, so that the daemon cannot hand one over between its sealing and its outcome here.
            LetterSlot slot = new LetterSlot("Mara", Day.PlusDays(number - 200), LetterKind.Morning) with { Channel = "gone" };
            var letter = new SealedLetter(slot, number, $"m{number}@letters.example", SiteHarness.Mara, $"No. {number} · shade", Encoding.UTF8.GetBytes(text), site.Now - Duration.FromDays(1)) { UsefulUntil = site.Now + Duration.FromDays(1) };
            Assert.True(await site.Store.Ledger.SealAsync(letter, default));
            foreach (DeliveryResult result in Outcomes(number))
            {
                await site.Store.Ledger.RecordTryAsync(slot, result, site.Now, default);
            }
        }
    }

    private static DeliveryResult[] Outcomes(int number) => number switch
    {
        1 => [new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "450 wait")],
        3 => [new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 <come> back"), new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.TooLate, "Too late after 1 tries")],
        _ => [DeliveryResult.Accepted("250 taken")],
    };
}

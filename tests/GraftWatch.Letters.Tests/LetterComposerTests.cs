using System.Text;
using GraftWatch.Letters.Links;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using MimeKit;
using NodaTime;

namespace GraftWatch.Letters.Tests;

public class LetterComposerTests
{
    private static readonly MailOptions Mail = new() { From = "letters@orchard.example", ReplyTo = "office@orchard.example" };

    private static readonly ActionLinks Links = new(new Uri("https://orchard.example/grafts"), [new byte[32]]);

    [Fact]
    public void The_letter_reads_back_as_it_was_written()
    {
        SealedLetter letter = new LetterComposer(Mail).Compose(Some.Round(), Some.Grower(), 12, Some.Morning);

        using MimeMessage read = Parse(letter);

        Assert.Equal("Thu 14 May · shade 7 unions before 11:00, stake 3, slit 5 ties", read.Subject);
        Assert.Equal(letter.MessageId, read.MessageId);
        Assert.EndsWith("@orchard.example", read.MessageId, StringComparison.Ordinal);
        Assert.Equal(Some.Morning, Instant.FromDateTimeOffset(read.Date));
        Assert.Equal(TimeSpan.FromHours(2), read.Date.Offset);
        Assert.Equal("Mara Quill", Assert.IsType<MailboxAddress>(Assert.Single(read.To)).Name);
        Assert.Equal("auto-generated", read.Headers["Auto-Submitted"]);
        Assert.Equal("Morning letters <morning-letters.orchard.example>", read.Headers[HeaderId.ListId]);
        var whole = Assert.IsType<Multipart>(read.Body);
        var both = Assert.IsType<MultipartAlternative>(whole[0]);
        Assert.Equal("text/calendar", whole[1].ContentType.MimeType);
        Assert.Equal(["text/plain", "text/html"], both.Select(p => p.ContentType.MimeType));
        Assert.Contains("Letter 12 for Mara Quill", read.TextBody, StringComparison.Ordinal);
        Assert.Equal(
            RoundText.Render(Some.Round(), new LetterContext { Number = 12, ReplyTo = Mail.ReplyTo }),
            read.TextBody!.Replace("\r\n", "\n", StringComparison.Ordinal));
    }

    [Fact]
    public void The_same_round_gives_the_same_bytes()
    {
        SealedLetter one = new LetterComposer(Mail, Links).Compose(Some.Round(), Some.Grower(), 12, Some.Morning);
        SealedLetter two = new LetterComposer(Mail, Links).Compose(Some.Round(), Some.Grower(), 12, Some.Morning);

        Assert.True(one.Bytes.Span.SequenceEqual(two.Bytes.Span));
    }

    [Fact]
    public void Another_day_or_grower_is_another_message()
    {
        var composer = new LetterComposer(Mail);
        string[] ids =
        [
            composer.Compose(Some.Round(), Some.Grower(), 1, Some.Morning).MessageId,
            composer.Compose(Some.Round() with { Date = Some.Day.PlusDays(1) }, Some.Grower(), 1, Some.Morning).MessageId,
            composer.Compose(Some.Round(), Some.Grower("Tomas Elder"), 1, Some.Morning).MessageId,
        ];

        Assert.Equal(3, ids.Distinct().Count());
    }

    [Fact]
    public void Lines_end_in_CRLF_and_none_is_longer_than_the_standard_allows()
    {
        SealedLetter letter = new LetterComposer(Mail, Links).Compose(Some.Round(), Some.Grower(), 12, Some.Morning);
        string raw = Encoding.Latin1.GetString(letter.Bytes.Span);

        Assert.DoesNotContain('\n', raw.Replace("\r\n", string.Empty, StringComparison.Ordinal));
        Assert.DoesNotContain('\r', raw.Replace("\r\n", string.Empty, StringComparison.Ordinal));
        Assert.DoesNotContain(raw, c => c > 126);
        int body = raw.IndexOf("\r\n\r\n", StringComparison.Ordinal);
        Assert.All(raw[body..].Split("\r\n"), line => Assert.InRange(line.Length, 0, 78));
        Assert.All(raw[..body].Split("\r\n"), line => Assert.InRange(line.Length, 0, 998));
    }

    [Fact]
    public void This_machine_is_named_nowhere()
    {
        SealedLetter letter = new LetterComposer(Mail, Links).Compose(Some.Round(), Some.Grower(), 12, Some.Morning);
        string raw = Encoding.Latin1.GetString(letter.Bytes.Span);

        Assert.DoesNotContain(Environment.MachineName, raw, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain(System.Net.Dns.GetHostName(), raw, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public void One_click_stopping_needs_https_and_carries_both_headers()
    {
        using MimeMessage read = Parse(new LetterComposer(Mail, Links).Compose(Some.Round(), Some.Grower(), 12, Some.Morning));

        // RFC 8058, section 3.1: an https URI in List-Unsubscribe and exactly this value in List-Unsubscribe-Post.
        Assert.Equal("List-Unsubscribe=One-Click", read.Headers[HeaderId.ListUnsubscribePost]);
        string[] ways = read.Headers[HeaderId.ListUnsubscribe]!.Split(", ");
        Assert.Equal("<mailto:office@orchard.example?subject=stop>", ways[1]);
        string token = new Uri(ways[0].Trim('<', '>')).AbsolutePath.Split('/')[^1];
        Assert.Equal(LinkState.Good, Links.TryRead(token, Some.Morning, out ActionLink? link));
        Assert.Equal(WorkAnswer.Stop, link!.Answer);

        var plain = new ActionLinks(new Uri("http://orchard.example"), [new byte[32]]);
        using MimeMessage without = Parse(new LetterComposer(Mail, plain).Compose(Some.Round(), Some.Grower(), 12, Some.Morning));
        Assert.Null(without.Headers[HeaderId.ListUnsubscribePost]);
        Assert.Null(Parse(new LetterComposer(Mail with { ReplyTo = string.Empty }).Compose(Some.Round(), Some.Grower(), 1, Some.Morning)).Headers[HeaderId.ListUnsubscribe]);
    }

    [Theory]
    [InlineData("Mara\r\nBcc: x@evil.example")]
    [InlineData("Mara\nSubject: other")]
    [InlineData("Mara\0\u0085\u2028Bcc: x@evil.example")]
    [InlineData("\"Mara\" <x@evil.example>, y@evil.example")]
    [InlineData("=?utf-8?q?Bcc=3A_x=40evil.example?=")]
    [InlineData("Mära Quïll 园丁 🌳")]
    public void No_name_can_add_a_header_or_a_recipient(string name)
    {
        string[] usual = HeaderNames(Parse(new LetterComposer(Mail).Compose(Some.Round(), Some.Grower(), 12, Some.Morning)));

        SealedLetter letter = new LetterComposer(Mail with { FromName = name }).Compose(
            Some.Round() with { Grower = name, Places = [Some.Round().Places[0] with { Place = Some.Place(name) }] }, Some.Grower(name), 12, Some.Morning);
        using MimeMessage read = Parse(letter);

        Assert.Equal(usual, HeaderNames(read));
        Assert.Equal("mara@grower.example", Assert.IsType<MailboxAddress>(Assert.Single(read.To)).Address);
        Assert.Equal("letters@orchard.example", Assert.IsType<MailboxAddress>(Assert.Single(read.From)).Address);
        Assert.Empty(read.Bcc);
    }

    [Theory]
    [InlineData("a\r\nRCPT TO:<x@y.example>@z.example")]
    [InlineData("\"a\r\nRCPT TO:<x@y.example>\"@z.example")]
    [InlineData("a@b@c.example")]
    [InlineData("a b@c.example")]
    [InlineData("a@c.example>")]
    [InlineData("a@c.example, d@e.example")]
    [InlineData("a\u0000@c.example")]
    [InlineData("a@c..example")]
    [InlineData("@c.example")]
    [InlineData("a@")]
    [InlineData("")]
    [InlineData("ä@c.example")]
    [InlineData("a@-c.example")]
    public void A_hostile_address_is_refused_with_a_sentence(string address)
    {
        Assert.NotNull(MailAddresses.Check(address));
        Assert.Throws<ArgumentException>(() => new LetterComposer(Mail).Compose(Some.Round(), Some.Grower(address: address), 1, Some.Morning));
    }

    [Theory]
    [InlineData("mara.quill+letters@grower.example")]
    [InlineData("o'neil@xn--bcher-kva.example")]
    [InlineData("a@b")]
    public void Usual_addresses_are_taken(string address) => Assert.Null(MailAddresses.Check(address));

    private static MimeMessage Parse(SealedLetter letter) => MimeMessage.Load(new MemoryStream(letter.Bytes.ToArray()));

    private static string[] HeaderNames(MimeMessage message) => [.. message.Headers.Select(h => h.Field).Order(StringComparer.Ordinal)];
}

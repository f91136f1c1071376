using System.Text;
using CsCheck;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Channels;
using GraftWatch.Letters.Links;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using MimeKit;

namespace GraftWatch.Letters.Tests;

/// <summary>Whatever stands in a register, a letter stays one letter to one person.</summary>
public class AnyWordsTests
{
    private static readonly MailOptions Mail = new() { From = "letters@orchard.example", ReplyTo = "office@orchard.example" };

    private static readonly ActionLinks Links = new(new Uri("https://orchard.example"), [new byte[32]]);

    private static readonly Gen<string> Nasty = Gen.OneOf(
        Gen.String[0, 40],
        Gen.Const(new string('果', 100)),
        Gen.String[Gen.OneOfConst('\r', '\n', ':', '<', '>', '@', '"', '=', '?', ',', ';', '\\', 'B', 'c', ' ', '\u2028', '\u202E', '\uD83C'), 0, 60],
        Gen.Const("\r\nBcc: x@evil.example\r\n\r\n."),
        Gen.Const("--letter-\r\n.\r\n"));

    [Fact]
    public void Any_words_give_the_same_headers_the_same_recipient_and_clean_lines() =>
        Gen.Select(Nasty, Nasty, Nasty, Nasty).Sample((name, place, text, label) =>
        {
            SealedLetter letter = new LetterComposer(Mail with { FromName = place }, Links).Compose(Filled(name, place, text, label), Some.Grower(name), 3, Some.Morning);
            string raw = Encoding.Latin1.GetString(letter.Bytes.Span);
            string bare = raw.Replace("\r\n", string.Empty, StringComparison.Ordinal);
            int body = raw.IndexOf("\r\n\r\n", StringComparison.Ordinal);
            using var read = MimeMessage.Load(new MemoryStream(letter.Bytes.ToArray()));
            return !bare.Contains('\r', StringComparison.Ordinal) && !bare.Contains('\n', StringComparison.Ordinal) && raw.All(c => c < 127)
                && raw[body..].Split("\r\n").All(line => line.Length <= 78) && raw[..body].Split("\r\n").All(line => line.Length <= 998)
                && read.Headers.Select(h => h.Field).Order(StringComparer.Ordinal).SequenceEqual(ActionLinks.CanHold(name) ? UsualHeaders : WithoutOneClick, StringComparer.Ordinal)
                && read.To.Mailboxes.Select(m => m.Address).SequenceEqual(["mara@grower.example"])
                && read.From.Mailboxes.Select(m => m.Address).SequenceEqual(["letters@orchard.example"]);
        });

    [Fact]
    public void Any_words_give_messages_that_machines_can_read() =>
        Gen.Select(Nasty, Nasty, Nasty, Nasty).Sample((name, place, text, label) =>
        {
            Round round = Filled(name, place, text, label);
            var request = new LetterRequest { Number = 1, Now = Some.Morning };
            ChannelTarget[] targets =
            [
                new ChannelTarget.SignedPost("a", true, new Uri("https://a.example"), string.Empty),
                new ChannelTarget.Matrix("b", true, new Uri("https://b.example"), "!r", string.Empty),
            ];
            foreach (ChannelTarget target in targets)
            {
                using var json = System.Text.Json.JsonDocument.Parse(MessageComposer.Compose(round, Some.Grower(), target, request).Bytes);
            }

            return !ShortText.Of(round, LetterKind.Urgent, 400).Contains('\r', StringComparison.Ordinal);
        });

    private static string[] UsualHeaders { get; } =
    [
        .. new[]
        {
            "From", "To", "Reply-To", "Subject", "Date", "Message-Id", "MIME-Version", "Auto-Submitted", "X-Auto-Response-Suppress", "List-Id",
            "List-Unsubscribe", "List-Unsubscribe-Post",
        }.Order(StringComparer.Ordinal),
    ];

    private static string[] WithoutOneClick { get; } = [.. UsualHeaders.Where(h => h != "List-Unsubscribe-Post")];

    private static Round Filled(string name, string place, string text, string label) => Some.Round() with
    {
        Grower = name,
        Places = [Some.Round().Places[0] with { Place = Some.Place(place), Forecast = Some.Forecast() with { Source = text, Credit = name, Gaps = [text] } }],
        Advice = [Some.Shade() with { Text = text, Why = name, Where = place, Grafts = [label, text], Materials = [label], Cautions = [text], Place = place }],
        Assumed = [text, label],
        NotChecked = [new(label, null, text)],
    };
}

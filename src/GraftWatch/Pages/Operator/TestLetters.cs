using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using MimeKit;
using NodaTime;

namespace GraftWatch.Pages.Operator;

/// <summary>
/// Letters that prove the whole way: a real round of a grower, by the same channel, to the operator and nobody else. They take no
/// slot, carry no links that act, and say at their top what they are.
/// </summary>
internal sealed class TestLetters(ServeParts parts, RoundMaking rounds, MailWay way, IHostApplicationLifetime life)
{
    private const int Kept = 5;
    private static readonly FormatOptions Rfc5322 = new() { NewLineFormat = NewLineFormat.Dos, EnsureNewLine = true, International = false };
    private readonly Lock gate = new();
    private readonly List<TestLetter> letters = [];

    /// <summary>The last ones, newest first.</summary>
    internal IReadOnlyList<TestLetter> Last
    {
        get
        {
            lock (gate)
            {
                return [.. letters.AsEnumerable().Reverse()];
            }
        }
    }

    /// <summary>Begins to make and send one; false while another is under way.</summary>
    internal bool Begin(Grower grower, string to, MorningSettings morning)
    {
        TestLetter letter;
        Instant now = Now();
        lock (gate)
        {
            if (letters.Any(one => one.EndedAt is null))
            {
                return false;
            }

            letter = new TestLetter(Guid.NewGuid(), grower.Name, to, now, null, null, string.Empty);
            letters.Add(letter);
            letters.RemoveRange(0, Math.Max(0, letters.Count - Kept));
        }

        _ = Task.Run(() => RunAsync(letter, grower, morning), CancellationToken.None);
        return true;
    }

    private async Task RunAsync(TestLetter letter, Grower grower, MorningSettings morning)
    {
        TestLetter ended;
        try
        {
            MadeRound made = await rounds.MakeAsync(grower, letter.BegunAt.InZone(grower.Zone).Date, morning, letter.BegunAt, life.ApplicationStopping).ConfigureAwait(false);
            DeliveryResult result = await way.Channel.DeliverAsync(Compose(made.Round, grower, letter), life.ApplicationStopping).ConfigureAwait(false);
            ended = letter with { Result = result };
        }
        catch (Exception trouble) when (trouble is not OperationCanceledException)
        {
            ended = letter with { Trouble = trouble.Message };
        }
        catch (OperationCanceledException)
        {
            ended = letter with { Trouble = "The program stopped." };
        }

        lock (gate)
        {
            int index = letters.FindIndex(one => one.Id == letter.Id);
            if (index >= 0)
            {
                letters[index] = ended with { EndedAt = Now() };
            }
        }
    }

    private SealedLetter Compose(Round round, Grower grower, TestLetter letter)
    {
        string notice = $"This is a test: the operator let it be made from the register of {grower.Name}. Nobody else gets it, and it changes nothing.";
        var composer = new LetterComposer(parts.Mail, links: null, _ => new LetterChoices(grower.Picture, Calendar: false));
        SealedLetter real = composer.Compose(round, grower with { Address = letter.To }, new LetterRequest { Number = 0, Now = letter.BegunAt, Notice = notice });
        using MimeMessage message = Read(real.Bytes);
        message.Subject = "Test · " + real.Subject;
        message.MessageId = string.Create(CultureInfo.InvariantCulture, $"test.{Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(12))}@{parts.Mail.Domain}");
        using var bytes = new MemoryStream();
        message.WriteTo(Rfc5322, bytes);
        LetterSlot slot = real.Slot with { Grower = "test " + grower.Name, Kind = LetterKind.Operator };
        return real with { Slot = slot, MessageId = message.MessageId, Recipient = letter.To, Subject = message.Subject, Bytes = bytes.ToArray() };
    }

    private static MimeMessage Read(ReadOnlyMemory<byte> bytes)
    {
        using var stream = new MemoryStream(bytes.ToArray());
        return MimeMessage.Load(stream);
    }

    private Instant Now() => Instant.FromDateTimeOffset(parts.Clock.GetUtcNow());
}

/// <summary>A test letter.</summary>
/// <param name="Id">Which.</param>
/// <param name="Grower">Whose round it tells.</param>
/// <param name="To">Where it goes.</param>
/// <param name="BegunAt">When it was asked for.</param>
/// <param name="EndedAt">When it ended; null while it is under way.</param>
/// <param name="Result">What the mail server said; null when it came to no mail server.</param>
/// <param name="Trouble">Why it came to no mail server; empty otherwise.</param>
internal sealed record TestLetter(Guid Id, string Grower, string To, Instant BegunAt, Instant? EndedAt, DeliveryResult? Result, string Trouble);

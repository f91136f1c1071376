using System.Runtime.CompilerServices;
using GraftWatch.Letters;
using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Settings.Secrets;
using MimeKit;
using NodaTime;

namespace GraftWatch.Checks;

/// <summary>The mail server: its name, the line, its certificate, the sign-in, and on request a letter to oneself by the way letters go.</summary>
internal sealed class MailCheck : ICheck
{
    public string Subject => "mail";

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        if (scope.Installation.Mail is not { } mail)
        {
            yield return new CheckLine(Subject, CheckVerdict.Look, $"{scope.Installation.File} has no table [mail]; letters are written as files into {Path.Combine(scope.Installation.DataFolder, "letters")}.", "Add the table [mail] when they are to be sent.");
            yield break;
        }

        MailOptions options = MailSetUp.Options(mail, scope.Surroundings.Environment, out string trouble);
        if (trouble.Length > 0)
        {
            yield return new CheckLine(Subject, CheckVerdict.Wrong, "mail.password_file: " + InstallationCheck.OneLine(trouble));
            yield break;
        }

        Secret password = SecretSource.FindMailPassword(mail, scope.Surroundings.Environment);
        CheckLine line = await new MailLine(mail, options, password, scope).TryAsync(cancellationToken).ConfigureAwait(false);
        yield return line;
        if (scope.SendTo is { } address && line.Verdict <= CheckVerdict.Look)
        {
            yield return await SendAsync(scope, options, address, cancellationToken).ConfigureAwait(false);
        }
    }

    private async Task<CheckLine> SendAsync(CheckScope scope, MailOptions options, string address, CancellationToken cancellationToken)
    {
        string to = address.Length > 0 ? address : scope.Installation.OperatorAddress ?? (scope.Installation.Growers is [var first, ..] ? first.Address : string.Empty);
        if (MailAddresses.Check(to) is { } fault)
        {
            return new CheckLine(Subject, CheckVerdict.Wrong, $"The letter to yourself cannot be addressed. {fault}", "Name an address behind --send, or set [operator] address.");
        }

        Instant now = scope.Terminal.Now();
        string id = $"check.{now.ToUnixTimeTicks()}@{options.Domain}";
        using MimeMessage letter = Letter(options, to, id, now);
        using var bytes = new MemoryStream();
        await letter.WriteToAsync(bytes, cancellationToken).ConfigureAwait(false);
        var slot = new LetterSlot("check", now.InUtc().Date, LetterKind.Urgent);
        var channel = new SmtpChannel(options with { Connections = 1 }, TimeProvider.System);
        await using (channel.ConfigureAwait(false))
        {
            DeliveryResult result = await channel.DeliverAsync(new SealedLetter(slot, 0, id, to, Subject, bytes.ToArray(), now), cancellationToken).ConfigureAwait(false);
            return result.Outcome == DeliveryOutcome.Accepted
                ? new CheckLine(Subject, CheckVerdict.Fine, $"A letter to {to} was taken ({result.Detail}). Look whether it arrives, and not among the unwanted.")
                : new CheckLine(Subject, CheckVerdict.Failed, $"A letter to {to} was not taken: {result.Detail}.", "The words are the mail server's; docs/operations.md tells what they usually mean.");
        }
    }

    private static MimeMessage Letter(MailOptions options, string to, string id, Instant now)
    {
        var letter = new MimeMessage
        {
            Subject = "GraftWatch: your mail works",
            Date = now.ToDateTimeOffset(),
            MessageId = id,
            Body = new TextPart("plain") { Text = "This letter was asked for by graftwatch check --send. It came the way the morning letters will come.\r\n" },
        };
        letter.From.Add(new MailboxAddress(options.FromName, options.From));
        letter.To.Add(new MailboxAddress(string.Empty, to));
        letter.Headers.Add("Auto-Submitted", "auto-generated"); // RFC 3834: no machine is to answer.
        return letter;
    }
}

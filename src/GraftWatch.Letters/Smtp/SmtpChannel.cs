using System.Collections.Concurrent;
using System.Net;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using MimeKit;

namespace GraftWatch.Letters.Smtp;

/// <summary>Hands sealed letters to a mail server, over lines that are kept open for further letters.</summary>
/// <remarks>
/// A letter's outcome is known when the answer to the final dot is in: the caller records it before QUIT is ever sent.
/// A line that fails in any way is thrown away. A kept line that turns out dead before the letter's sender was accepted
/// is replaced once, silently; nothing has left by then.
/// </remarks>
public sealed class SmtpChannel : ILetterChannel, IAsyncDisposable
{
    private readonly MailOptions options;
    private readonly TimeProvider time;
    private readonly SemaphoreSlim slots;
    private readonly ConcurrentStack<SmtpLine> idle = new();
    private bool disposed;

    /// <summary>Creates the channel; connects when the first letter comes.</summary>
    public SmtpChannel(MailOptions options, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(options);
        this.options = options;
        this.time = time;
        slots = new SemaphoreSlim(Math.Clamp(options.Connections, 1, 32));
    }

    /// <inheritdoc />
    public async Task<DeliveryResult> DeliverAsync(SealedLetter letter, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(letter);
        if (NotReady() is { } notReady)
        {
            return notReady;
        }

        if (!MailAddresses.TryParse(letter.Recipient, out MailboxAddress? recipient))
        {
            return new(DeliveryOutcome.GiveUp, DeliveryReason.BadRecipient, $"not a mail address: {PlainWords.Name(letter.Recipient)}");
        }

        try
        {
            await slots.WaitAsync(cancellationToken);
        }
        catch (OperationCanceledException)
        {
            return new(DeliveryOutcome.TryLater, DeliveryReason.Connection, "stopped before the letter was started");
        }

        try
        {
            return letter.Slot.Kind == LetterKind.Operator
                ? await SendToOperatorAsync(letter, recipient!, cancellationToken)
                : await SendAsync(letter, recipient!, options.From, cancellationToken);
        }
        finally
        {
            slots.Release();
        }
    }

    /// <summary>
    /// With an empty return path, so that no bounce of it is answered (RFC 5321, 6.1); a server that lets nobody send without
    /// an address is given ours.
    /// </summary>
    private async Task<DeliveryResult> SendToOperatorAsync(SealedLetter letter, MailboxAddress recipient, CancellationToken cancellationToken)
    {
        DeliveryResult result = await SendAsync(letter, recipient, string.Empty, cancellationToken);
        return result is { Outcome: DeliveryOutcome.GiveUp, Reason: DeliveryReason.Refused }
            ? await SendAsync(letter, recipient, options.From, cancellationToken)
            : result;
    }

    /// <summary>Closes the kept lines.</summary>
    public async ValueTask DisposeAsync()
    {
        disposed = true;
        while (idle.TryPop(out SmtpLine? line))
        {
            await line.CloseAsync();
        }

        slots.Dispose();
    }

    private async Task<DeliveryResult> SendAsync(SealedLetter letter, MailboxAddress recipient, string returnPath, CancellationToken cancellationToken)
    {
        MimeMessage message;
        try
        {
            message = MimeMessage.Load(new MemoryStream(letter.Bytes.ToArray(), writable: false), persistent: true, cancellationToken);
        }
        catch (FormatException e)
        {
            return new(DeliveryOutcome.GiveUp, DeliveryReason.Refused, "the sealed letter cannot be read back: " + PlainWords.OneLine(e.Message, 200));
        }

        using (message)
        {
            var sender = new MailboxAddress(string.Empty, returnPath);
            if (await TakeIdleAsync() is { } kept)
            {
                DeliveryResult first = await HandOverAsync(kept, message, sender, recipient, cancellationToken);
                if (!kept.WasDead || cancellationToken.IsCancellationRequested)
                {
                    return first;
                }
            }

            var fresh = new SmtpLine(options, time);
            if (await fresh.OpenAsync(cancellationToken) is { } cannot)
            {
                fresh.Dispose();
                return cannot;
            }

            return await HandOverAsync(fresh, message, sender, recipient, cancellationToken);
        }
    }

    private async Task<DeliveryResult> HandOverAsync(SmtpLine line, MimeMessage message, MailboxAddress sender, MailboxAddress recipient, CancellationToken cancellationToken)
    {
        DeliveryResult result = await line.SendAsync(message, sender, recipient, cancellationToken);
        if (result.Outcome != DeliveryOutcome.Accepted)
        {
            line.Dispose();
        }
        else if (line.Letters >= options.LettersPerConnection || disposed)
        {
            _ = line.CloseAsync();
        }
        else
        {
            idle.Push(line);
        }

        return result;
    }

    private async ValueTask<SmtpLine?> TakeIdleAsync()
    {
        while (idle.TryPop(out SmtpLine? line))
        {
            if (time.GetElapsedTime(line.LastUsed) < options.IdleLimit)
            {
                return line;
            }

            await line.CloseAsync();
        }

        return null;
    }

    private DeliveryResult? NotReady()
    {
        string? missing = options.Host.Length == 0 ? "no mail server is named"
            : options.From.Length == 0 ? "no sender address is named"
            : !MailAddresses.TryParse(options.From, out _) ? $"the sender address cannot be used: {PlainWords.Name(options.From)}"
            : options is { Security: MailSecurity.None, UserName.Length: > 0 } && !IsLoopback(options.Host) ? "sign-in over a line without TLS is refused; ask for StartTls or Tls"
            : options.UserName.Length > 0 && options.Password.Length == 0 ? "the password of the mail server is missing"
            : null;
        return missing is null ? null : new(DeliveryOutcome.TryLater, DeliveryReason.NotSetUp, missing);
    }

    private static bool IsLoopback(string host) => host == "localhost" || (IPAddress.TryParse(host, out IPAddress? address) && IPAddress.IsLoopback(address));
}

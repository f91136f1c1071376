using System.Net.Sockets;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using MailKit;
using MailKit.Net.Smtp;
using MailKit.Security;

namespace GraftWatch.Letters.Smtp;

/// <summary>Says what may be done next after a try failed, from the stage it failed at and what the server said.</summary>
/// <remarks>
/// RFC 5321: 4yz asks to wait, 5yz is final; what fails before MAIL FROM is the relay's fault and never the letter's;
/// what breaks after the final dot is unknown. A refused sign-in or a missing TLS is for the operator to mend: the letter
/// waits, the reason says so. RFC 3463 codes outrank the basic ones where the server gives them.
/// </remarks>
internal static class SmtpVerdict
{
    /// <summary>The result of a failed try.</summary>
    /// <param name="stage">Where the conversation stood.</param>
    /// <param name="error">What was thrown.</param>
    /// <param name="timedOut">Whether our own limit for the stage ended it.</param>
    /// <param name="options">For what must not appear in the words.</param>
    public static DeliveryResult Of(SmtpStage stage, Exception error, bool timedOut, MailOptions options)
    {
        if (timedOut || error is TimeoutException)
        {
            return Broken(stage, "no answer in time", options);
        }

        return error switch
        {
            SmtpCommandException command => Answered(stage, command, options),
            AuthenticationException signIn => SignIn(signIn, options),
            SslHandshakeException tls => new(DeliveryOutcome.TryLater, DeliveryReason.Security, Words(stage, "no secure connection: " + FirstLine(tls.Message), options)),
            NotSupportedException plain => Unsupported(stage, plain, options),
            SmtpProtocolException or IOException or SocketException or ObjectDisposedException or ServiceNotConnectedException or OperationCanceledException
                => Broken(stage, error is OperationCanceledException ? "stopped" : FirstLine(error.Message), options),
            ServiceNotAuthenticatedException need => new(DeliveryOutcome.TryLater, DeliveryReason.SignIn, Words(stage, FirstLine(need.Message), options)),
            _ => Broken(stage, error.GetType().Name + ": " + FirstLine(error.Message), options),
        };
    }

    private static DeliveryResult Broken(SmtpStage stage, string what, MailOptions options) => stage is SmtpStage.Receipt or SmtpStage.Answered
        ? new(DeliveryOutcome.Unknown, DeliveryReason.Connection, Words(stage, what + "; the server may have the letter", options))
        : new(DeliveryOutcome.TryLater, DeliveryReason.Connection, Words(stage, what, options));

    private static DeliveryResult Answered(SmtpStage stage, SmtpCommandException command, MailOptions options)
    {
        int code = (int)command.StatusCode;
        string words = Words(stage, $"{code} {FirstLine(command.Message)}", options);
        if (stage < SmtpStage.Sender)
        {
            return code is 530 or 534 or 535
                ? new(DeliveryOutcome.TryLater, DeliveryReason.SignIn, words)
                : new(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, words);
        }

        if (code is 530 or 534 or 535)
        {
            return new(DeliveryOutcome.TryLater, DeliveryReason.SignIn, words);
        }

        EnhancedCode? enhanced = EnhancedCode.Find(command.Message);
        int kind = enhanced?.Class ?? code / 100;
        if (kind == 4 || (enhanced is null && code is >= 400 and < 500))
        {
            return new(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, words);
        }

        bool recipient = command.ErrorCode == SmtpErrorCode.RecipientNotAccepted && enhanced is not { Subject: 7 or 3 or 4 };
        return kind == 5 || code >= 500
            ? new(DeliveryOutcome.GiveUp, recipient || enhanced is { Subject: 1 } ? DeliveryReason.BadRecipient : DeliveryReason.Refused, words)
            : new(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, words);
    }

    private static DeliveryResult SignIn(AuthenticationException signIn, MailOptions options)
    {
        int code = signIn.InnerException is SmtpCommandException inner ? (int)inner.StatusCode : 535;
        string words = Words(SmtpStage.SignIn, $"{code} {FirstLine(signIn.Message)}", options);
        return code >= 500
            ? new(DeliveryOutcome.TryLater, DeliveryReason.SignIn, words)
            : new(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, words);
    }

    private static DeliveryResult Unsupported(SmtpStage stage, NotSupportedException error, MailOptions options) => stage switch
    {
        SmtpStage.SignIn => new(DeliveryOutcome.TryLater, DeliveryReason.SignIn, Words(stage, FirstLine(error.Message), options)),
        < SmtpStage.SignIn => new(DeliveryOutcome.TryLater, DeliveryReason.Security, Words(stage, "the server offers no TLS, and it may not be left out: " + FirstLine(error.Message), options)),
        _ => new(DeliveryOutcome.GiveUp, DeliveryReason.Refused, Words(stage, FirstLine(error.Message), options)),
    };

    private static string Words(SmtpStage stage, string what, MailOptions options)
    {
        string words = $"{At(stage)}: {what}";
        if (options.Password.Length > 0)
        {
            words = words.Replace(options.Password, "***", StringComparison.Ordinal);
        }

        return PlainWords.OneLine(words, 400);
    }

    private static string FirstLine(string message)
    {
        int end = message.AsSpan().IndexOfAny('\r', '\n');
        return end < 0 ? message : message[..end] + " " + message[end..].Trim();
    }

    private static string At(SmtpStage stage) => stage switch
    {
        SmtpStage.Connect => "connecting",
        SmtpStage.Hello => "greeting",
        SmtpStage.SignIn => "signing in",
        SmtpStage.Ready => "before the letter",
        SmtpStage.Sender => "sender",
        SmtpStage.Recipient => "recipient",
        SmtpStage.Data => "before the text",
        SmtpStage.Body => "during the text",
        SmtpStage.Receipt => "after the text",
        SmtpStage.Answered => "after the text",
        _ => "closing",
    };
}

/// <summary>An enhanced status code (RFC 3463), class.subject.detail.</summary>
internal sealed record EnhancedCode(int Class, int Subject, int Detail)
{
    /// <summary>The code at the head of a server's words, or null.</summary>
    public static EnhancedCode? Find(string words)
    {
        ReadOnlySpan<char> head = words.AsSpan().TrimStart();
        int end = head.IndexOfAny(' ', '\r', '\n');
        head = end < 0 ? head : head[..end];
        Span<Range> parts = stackalloc Range[4];
        return head.Split(parts, '.') == 3
            && head[parts[0]] is ['2' or '4' or '5'] && Number(head[parts[1]]) is { } subject && Number(head[parts[2]]) is { } detail
            ? new EnhancedCode(head[0] - '0', subject, detail)
            : null;
    }

    private static int? Number(ReadOnlySpan<char> digits) =>
        digits.Length is > 0 and <= 3 && digits.IndexOfAnyExceptInRange('0', '9') < 0
            ? int.Parse(digits, System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture)
            : null;
}

using System.Text;
using MailKit;

namespace GraftWatch.Letters.Smtp;

/// <summary>Reads along which commands leave and which answers come, to know whether the final dot went out.</summary>
/// <remarks>The client's exceptions do not tell: a line that drops after the dot throws the same as one that drops at the greeting. Nothing is kept or logged, passwords pass through unseen.</remarks>
internal sealed class StageTracker(Action<SmtpStage> changed) : IProtocolLogger
{
    private static readonly byte[] FinalDot = "\r\n.\r\n"u8.ToArray();
    private readonly byte[] tail = new byte[5];
    private int tailLength;
    private bool bodyGoAhead;

    /// <inheritdoc />
    public IAuthenticationSecretDetector? AuthenticationSecretDetector { get; set; }

    /// <summary>Where the conversation stands.</summary>
    public SmtpStage Stage { get; private set; }

    /// <inheritdoc />
    public void LogConnect(Uri uri) => Move(SmtpStage.Connect);

    /// <inheritdoc />
    public void LogClient(byte[] buffer, int offset, int count)
    {
        ReadOnlySpan<byte> sent = buffer.AsSpan(offset, count);
        if (bodyGoAhead || Stage == SmtpStage.Body)
        {
            bodyGoAhead = false;
            Move(SmtpStage.Body);
            Remember(sent);
            if (tailLength == 5 && tail.AsSpan().SequenceEqual(FinalDot))
            {
                Move(SmtpStage.Receipt);
            }

            return;
        }

        foreach (Range line in sent.Split((byte)'\n'))
        {
            Command(sent[line]);
        }
    }

    /// <inheritdoc />
    public void LogServer(byte[] buffer, int offset, int count)
    {
        ReadOnlySpan<byte> answer = buffer.AsSpan(offset, count);
        switch (Stage)
        {
            case SmtpStage.Data when Contains354(answer):
                bodyGoAhead = true;
                tailLength = 0;
                break;
            case SmtpStage.Receipt when answer.Length >= 3 && answer[..3].IndexOfAnyExceptInRange((byte)'0', (byte)'9') < 0:
                Move(SmtpStage.Answered);
                break;
        }
    }

    /// <summary>The caller is about to hand over another letter.</summary>
    public void StartLetter()
    {
        bodyGoAhead = false;
        Move(SmtpStage.Ready);
    }

    /// <summary>The caller is about to sign in.</summary>
    public void StartSignIn() => Move(SmtpStage.SignIn);

    /// <inheritdoc />
    public void Dispose()
    {
    }

    private static bool Contains354(ReadOnlySpan<byte> answer) => answer.StartsWith("354"u8) || answer.IndexOf("\n354"u8) >= 0;

    private void Command(ReadOnlySpan<byte> line)
    {
        if (Starts(line, "EHLO"u8) || Starts(line, "HELO"u8) || Starts(line, "STARTTLS"u8))
        {
            Move(SmtpStage.Hello);
        }
        else if (Starts(line, "AUTH "u8))
        {
            Move(SmtpStage.SignIn);
        }
        else if (Starts(line, "MAIL FROM"u8))
        {
            Move(SmtpStage.Sender);
        }
        else if (Starts(line, "RCPT TO"u8))
        {
            Move(SmtpStage.Recipient);
        }
        else if (Starts(line, "DATA"u8) && Stage is SmtpStage.Sender or SmtpStage.Recipient)
        {
            Move(SmtpStage.Data);
        }
        else if (Starts(line, "QUIT"u8))
        {
            Move(SmtpStage.Quit);
        }
    }

    private static bool Starts(ReadOnlySpan<byte> line, ReadOnlySpan<byte> word) =>
        line.Length >= word.Length && Ascii.EqualsIgnoreCase(line[..word.Length], word);

    private void Remember(ReadOnlySpan<byte> sent)
    {
        if (sent.Length >= 5)
        {
            sent[^5..].CopyTo(tail);
            tailLength = 5;
            return;
        }

        int keep = Math.Min(tailLength, 5 - sent.Length);
        tail.AsSpan(tailLength - keep, keep).CopyTo(tail);
        sent.CopyTo(tail.AsSpan(keep));
        tailLength = keep + sent.Length;
    }

    private void Move(SmtpStage stage)
    {
        if (Stage != stage)
        {
            Stage = stage;
            changed(stage);
        }
    }
}

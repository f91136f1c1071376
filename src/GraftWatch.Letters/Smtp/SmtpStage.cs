namespace GraftWatch.Letters.Smtp;

/// <summary>How far a conversation with a mail server has come. Everything up to <see cref="Body"/> is before the server could have the letter.</summary>
internal enum SmtpStage
{
    /// <summary>Opening the line, until the greeting.</summary>
    Connect = 0,

    /// <summary>EHLO, STARTTLS and the TLS handshake.</summary>
    Hello,

    /// <summary>AUTH.</summary>
    SignIn,

    /// <summary>Ready for the next letter.</summary>
    Ready,

    /// <summary>MAIL FROM.</summary>
    Sender,

    /// <summary>RCPT TO.</summary>
    Recipient,

    /// <summary>DATA, until the go-ahead.</summary>
    Data,

    /// <summary>The letter's bytes are leaving.</summary>
    Body,

    /// <summary>The final dot is out, its answer is not in: the server may have the letter.</summary>
    Receipt,

    /// <summary>The final dot was answered.</summary>
    Answered,

    /// <summary>QUIT.</summary>
    Quit,
}

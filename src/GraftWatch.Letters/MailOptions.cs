namespace GraftWatch.Letters;

/// <summary>How letters are addressed and handed to the mail server.</summary>
public sealed record MailOptions
{
    /// <summary>Mail server; empty means not set up.</summary>
    public string Host { get; init; } = string.Empty;

    /// <summary>Port; 587 (submission) unless said otherwise, 465 with <see cref="MailSecurity.Tls"/>.</summary>
    public int Port { get; init; } = 587;

    /// <summary>How the line is secured.</summary>
    public MailSecurity Security { get; init; } = MailSecurity.StartTls;

    /// <summary>User name; empty means no sign-in.</summary>
    public string UserName { get; init; } = string.Empty;

    /// <summary>Password; from the environment or a credential file, never from the settings file.</summary>
    public string Password { get; init; } = string.Empty;

    /// <summary>SHA-256 of the server's certificate in hexadecimal, for a home server with its own certificate; empty means the usual trust.</summary>
    public string CertificateSha256 { get; init; } = string.Empty;

    /// <summary>Whether revocation of the server's certificate is looked up. Off: an unreachable list would hold letters back.</summary>
    public bool CheckRevocation { get; init; }

    /// <summary>Address letters come from; also receives what cannot be delivered.</summary>
    public string From { get; init; } = string.Empty;

    /// <summary>Name beside <see cref="From"/>.</summary>
    public string FromName { get; init; } = "GraftWatch";

    /// <summary>Address replies go to; empty means that nobody reads replies and the letter does not ask for any.</summary>
    public string ReplyTo { get; init; } = string.Empty;

    /// <summary>Lines open to the server at once. 1 to 32.</summary>
    public int Connections { get; init; } = 4;

    /// <summary>Letters over one line before it is closed.</summary>
    public int LettersPerConnection { get; init; } = 100;

    /// <summary>Idle time after which a line is closed.</summary>
    public TimeSpan IdleLimit { get; init; } = TimeSpan.FromSeconds(60);

    /// <summary>Longest wait for the connection and the greeting.</summary>
    public TimeSpan ConnectLimit { get; init; } = TimeSpan.FromSeconds(30);

    /// <summary>Longest wait for any answer up to DATA.</summary>
    public TimeSpan CommandLimit { get; init; } = TimeSpan.FromSeconds(60);

    /// <summary>Longest wait for the go-ahead after DATA and for the bytes to leave (RFC 5321, 4.5.3.2.4 and .5).</summary>
    public TimeSpan DataLimit { get; init; } = TimeSpan.FromMinutes(3);

    /// <summary>Longest wait after the final dot; a short one makes duplicates (RFC 5321, 4.5.3.2.6; RFC 1047).</summary>
    public TimeSpan ReceiptLimit { get; init; } = TimeSpan.FromMinutes(10);

    /// <summary>Domain of the sender's address; stands in identifiers instead of this machine's name.</summary>
    public string Domain => From.LastIndexOf('@') is var at and > 0 ? From[(at + 1)..] : "localhost.invalid";
}

/// <summary>How a line to the mail server is secured.</summary>
public enum MailSecurity
{
    /// <summary>TLS after STARTTLS, required.</summary>
    StartTls = 0,

    /// <summary>TLS from the first byte.</summary>
    Tls,

    /// <summary>No TLS, by the operator's explicit word; signs in only on the loopback address.</summary>
    None,
}

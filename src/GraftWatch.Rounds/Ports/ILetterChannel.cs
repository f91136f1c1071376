namespace GraftWatch.Rounds.Ports;

/// <summary>Carries sealed letters.</summary>
public interface ILetterChannel
{
    /// <summary>Tries once to hand a letter over; never throws for what a server or network does.</summary>
    Task<DeliveryResult> DeliverAsync(SealedLetter letter, CancellationToken cancellationToken);
}

/// <summary>What became of one try.</summary>
/// <param name="Outcome">What may be done next.</param>
/// <param name="Reason">Closed list of causes, for logs and health.</param>
/// <param name="Detail">The server's or system's words, secrets removed.</param>
public sealed record DeliveryResult(DeliveryOutcome Outcome, DeliveryReason Reason, string Detail)
{
    /// <summary>How long the server asked to wait; null when it did not say.</summary>
    public NodaTime.Duration? RetryAfter { get; init; }

    /// <summary>The server took the letter.</summary>
    public static DeliveryResult Accepted(string detail) => new(DeliveryOutcome.Accepted, DeliveryReason.None, detail);
}

/// <summary>What may be done next.</summary>
public enum DeliveryOutcome
{
    /// <summary>The server took responsibility.</summary>
    Accepted = 0,

    /// <summary>Try again later.</summary>
    TryLater,

    /// <summary>Trying the same again is useless: the recipient or the letter is refused. What the operator must mend (sign-in, security, settings) is <see cref="TryLater"/> with its reason.</summary>
    GiveUp,

    /// <summary>The line broke after the last byte: it may or may not have arrived.</summary>
    Unknown,
}

/// <summary>Why a letter was not taken.</summary>
public enum DeliveryReason
{
    /// <summary>It was taken.</summary>
    None = 0,

    /// <summary>No connection, or it broke.</summary>
    Connection,

    /// <summary>The server is busy or asks to wait (4xx).</summary>
    ServerBusy,

    /// <summary>The server refuses the recipient.</summary>
    BadRecipient,

    /// <summary>The server refuses the sender or the message.</summary>
    Refused,

    /// <summary>Sign-in failed.</summary>
    SignIn,

    /// <summary>No secure connection could be made.</summary>
    Security,

    /// <summary>The mail settings are incomplete.</summary>
    NotSetUp,

    /// <summary>It was not handed over before it lost its use.</summary>
    TooLate,

    /// <summary>The grower's letters were stopped before it was handed over.</summary>
    Stopped,
}

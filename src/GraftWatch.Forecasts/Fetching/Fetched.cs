using NodaTime;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Outcome of a fetch: a value, "not modified", or a fault.</summary>
internal sealed record Fetched<T>
    where T : class
{
    /// <summary>What was parsed from the reply; null on a fault and when the kept reply still holds.</summary>
    public T? Value { get; init; }

    /// <summary>The service says the reply we keep still holds (304).</summary>
    public bool NotModified { get; init; }

    /// <summary>What went wrong; null when nothing did.</summary>
    public FetchFault? Fault { get; init; }

    /// <summary>What the headers say about keeping the reply.</summary>
    public ReplyHeaders Headers { get; init; } = ReplyHeaders.None;

    /// <summary>When the reply came.</summary>
    public Instant At { get; init; }
}

/// <summary>The headers that matter for asking again (RFC 9110, RFC 9111), as text where the service wants its own text back.</summary>
/// <param name="ETag">Entity tag, or null.</param>
/// <param name="LastModified">Last-Modified exactly as sent, or null.</param>
/// <param name="Expires">Not to be asked again before; null when not said.</param>
/// <param name="IsDeprecated">Status 203: the product still works but is beta or about to end.</param>
internal sealed record ReplyHeaders(string? ETag, string? LastModified, Instant? Expires, bool IsDeprecated)
{
    public static ReplyHeaders None { get; } = new(null, null, null, false);
}

/// <summary>What a parser made of a body.</summary>
/// <param name="Value">The value, or null.</param>
/// <param name="Trouble">Why there is none; no full stop.</param>
/// <param name="MayRetry">Whether the body may be whole next time.</param>
internal sealed record ParsedBody<T>(T? Value, string? Trouble, bool MayRetry)
    where T : class;

using NodaTime;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Why a service gave no weather.</summary>
internal enum FetchFaultKind
{
    /// <summary>No connection, or it broke.</summary>
    Network = 0,

    /// <summary>The answer did not come, or not all of it, in time.</summary>
    Timeout,

    /// <summary>The answer is longer than is read.</summary>
    TooLong,

    /// <summary>The answer came and cannot be used.</summary>
    BadReply,

    /// <summary>The service finds fault with the request.</summary>
    Refused,

    /// <summary>The service wants a key, another plan, or does not let us in.</summary>
    NotAllowed,

    /// <summary>There is nothing at this address or for this place.</summary>
    NotFound,

    /// <summary>Too many requests; wait as long as it says.</summary>
    TooMany,

    /// <summary>Another request of ours, or of somebody at the same address, is still running.</summary>
    Busy,

    /// <summary>The service is in trouble.</summary>
    ServerTrouble,

    /// <summary>It failed so often lately that it is left alone for a while.</summary>
    LeftAlone,

    /// <summary>Our own share of requests is used up.</summary>
    ShareUsedUp,
}

/// <summary>A failed fetch.</summary>
/// <param name="Kind">Cause.</param>
/// <param name="Sentence">Ends the sentence "not checked, because …"; no full stop.</param>
/// <param name="MayRetry">Whether trying again soon can help.</param>
/// <param name="NotBefore">Earliest instant at which trying again can help; null when unknown.</param>
internal sealed record FetchFault(FetchFaultKind Kind, string Sentence, bool MayRetry, Instant? NotBefore = null)
{
    /// <summary>Whether the fault speaks of the service's health, not of our request.</summary>
    public bool IsOutage => Kind is FetchFaultKind.Network or FetchFaultKind.Timeout or FetchFaultKind.ServerTrouble;
}

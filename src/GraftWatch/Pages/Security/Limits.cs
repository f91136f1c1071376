using System.Globalization;
using System.Net;
using System.Threading.RateLimiting;

namespace GraftWatch.Pages.Security;

/// <summary>How often one caller may ask. Callers share a bounded number of buckets, so that a flood of callers fills no memory.</summary>
internal sealed class Limits : IDisposable
{
    private const int Buckets = 4096;
    private readonly PartitionedRateLimiter<string> requests = Make(burst: 600, every: TimeSpan.FromSeconds(1), amount: 20);
    private readonly PartitionedRateLimiter<string> signIns = Make(burst: 10, every: TimeSpan.FromMinutes(1), amount: 1);
    private readonly PartitionedRateLimiter<string> guesses = Make(burst: 20, every: TimeSpan.FromSeconds(30), amount: 1);
    private readonly PartitionedRateLimiter<string> searches = Make(burst: 12, every: TimeSpan.FromSeconds(15), amount: 1);
    private readonly PartitionedRateLimiter<string> allSearches = Make(burst: 60, every: TimeSpan.FromSeconds(1), amount: 1);
    private readonly PartitionedRateLimiter<string> addresses = Make(burst: 3, every: TimeSpan.FromMinutes(15), amount: 1);

    /// <summary>Any request.</summary>
    internal bool MayAsk(HttpContext http) => Take(requests, Caller(http));

    /// <summary>A wish to sign in or to subscribe, by caller.</summary>
    internal bool MayWish(HttpContext http) => Take(signIns, Caller(http));

    /// <summary>A link that turned out not to be ours, by caller.</summary>
    internal bool MayGuess(HttpContext http) => Take(guesses, Caller(http));

    /// <summary>A search of a place by name, by session or caller and all together: somebody else's service answers it.</summary>
    internal bool MaySearch(HttpContext http, long? session) =>
        Take(searches, session is { } known ? string.Create(CultureInfo.InvariantCulture, $"session {known}") : Caller(http)) && Take(allSearches, string.Empty);

    /// <summary>A mail to an address.</summary>
    internal bool MayWrite(string address) => Take(addresses, address);

    /// <inheritdoc/>
    public void Dispose()
    {
        requests.Dispose();
        signIns.Dispose();
        guesses.Dispose();
        searches.Dispose();
        allSearches.Dispose();
        addresses.Dispose();
    }

    private static bool Take(PartitionedRateLimiter<string> limiter, string key)
    {
        using RateLimitLease lease = limiter.AttemptAcquire(key);
        return lease.IsAcquired;
    }

    /// <summary>An IPv6 caller owns at least a /64 (RFC 6177), so that is what is counted.</summary>
    private static string Caller(HttpContext http)
    {
        if (http.Connection.RemoteIpAddress is not { } address)
        {
            return string.Empty;
        }

        IPAddress plain = address.IsIPv4MappedToIPv6 ? address.MapToIPv4() : address;
        byte[] bytes = plain.GetAddressBytes();
        return Convert.ToHexString(bytes.AsSpan(0, Math.Min(8, bytes.Length)));
    }

    private static PartitionedRateLimiter<string> Make(int burst, TimeSpan every, int amount) =>
        PartitionedRateLimiter.Create<string, int>(key => RateLimitPartition.GetTokenBucketLimiter(
            (int)((uint)key.GetHashCode(StringComparison.Ordinal) % Buckets),
            _ => new TokenBucketRateLimiterOptions
            {
                TokenLimit = burst,
                TokensPerPeriod = amount,
                ReplenishmentPeriod = every,
                QueueLimit = 0,
                AutoReplenishment = false,
            }));
}

using System.Globalization;
using System.Net;
using NodaTime;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Picks the caching headers out of a reply.</summary>
internal static class HeaderReader
{
    public static ReplyHeaders Read(HttpResponseMessage response)
    {
        string? lastModified = response.Content.Headers.TryGetValues("Last-Modified", out IEnumerable<string>? raw) ? raw.FirstOrDefault() : null;
        return new ReplyHeaders(
            response.Headers.ETag?.ToString(),
            lastModified,
            Expires(response),
            response.StatusCode == HttpStatusCode.NonAuthoritativeInformation);
    }

    private static Instant? Expires(HttpResponseMessage response)
    {
        // A date that does not parse means "already stale" (RFC 9111 §5.3): no reason to wait.
        if (response.Content.Headers.TryGetValues("Expires", out IEnumerable<string>? raw)
            && DateTimeOffset.TryParse(raw.FirstOrDefault(), CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out DateTimeOffset expires))
        {
            return Instant.FromDateTimeOffset(expires);
        }

        return null;
    }
}

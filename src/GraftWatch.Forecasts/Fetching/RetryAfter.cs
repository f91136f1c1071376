using System.Globalization;
using System.Net.Http.Headers;
using NodaTime;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Reads the header Retry-After (RFC 9110 §10.2.3): seconds or a date.</summary>
internal static class RetryAfter
{
    /// <summary>The instant it names; null when it is absent or not understood. Never before <paramref name="now"/>.</summary>
    public static Instant? Read(HttpResponseHeaders headers, Instant now)
    {
        if (headers.RetryAfter is { Delta: { } delta })
        {
            return now + Duration.Max(Duration.Zero, Duration.FromTimeSpan(delta));
        }

        if (headers.RetryAfter is { Date: { } date })
        {
            return Instant.Max(now, Instant.FromDateTimeOffset(date));
        }

        // Some servers write fractions of a second, which the typed header does not take.
        return headers.TryGetValues("Retry-After", out IEnumerable<string>? raw)
            && double.TryParse(raw.FirstOrDefault(), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double seconds)
            && seconds < 1e8
            ? now + Duration.FromSeconds(Math.Max(0, seconds))
            : null;
    }
}

using System.Net;
using System.Text;
using System.Text.Json;
using NodaTime;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Turns an unwelcome status and its body into a fault.</summary>
internal static class StatusWords
{
    /// <summary>Reads the fault out of a reply whose status is not 200, 203 or 304.</summary>
    public static FetchFault Read(string host, HttpResponseMessage response, ReadOnlySpan<byte> body, Instant now)
    {
        int status = (int)response.StatusCode;
        string reason = Reason(body);
        string said = reason.Length > 0 ? $" (\"{reason}\")" : string.Empty;
        Instant? after = RetryAfter.Read(response.Headers, now);
        return response.StatusCode switch
        {
            HttpStatusCode.TooManyRequests => TooMany(host, reason, said, after, now),
            HttpStatusCode.BadRequest when reason.Contains("API key", StringComparison.OrdinalIgnoreCase) =>
                new(FetchFaultKind.NotAllowed, $"{host} does not accept the key{said}; mend it in the settings", false),
            HttpStatusCode.BadRequest or HttpStatusCode.UnprocessableEntity or HttpStatusCode.MethodNotAllowed or HttpStatusCode.NotAcceptable =>
                new(FetchFaultKind.Refused, $"{host} finds fault with the request{said}", false),
            HttpStatusCode.Unauthorized => new(FetchFaultKind.NotAllowed, $"{host} wants a key{said}; set one or use the free host", false),
            HttpStatusCode.Forbidden => new(FetchFaultKind.NotAllowed, $"{host} does not let us in{said}; check the key, the plan and the contact address in the settings", false, after),
            HttpStatusCode.NotFound or HttpStatusCode.Gone => new(FetchFaultKind.NotFound, $"{host} has nothing at this address or for this place{said}", false),
            HttpStatusCode.RequestTimeout => new(FetchFaultKind.ServerTrouble, $"{host} gave up waiting for our request", true, after),
            >= HttpStatusCode.MultipleChoices and < HttpStatusCode.BadRequest => Elsewhere(host, response),
            >= HttpStatusCode.InternalServerError => new(FetchFaultKind.ServerTrouble, $"{host} is in trouble (status {status}){said}", true, after),
            _ => new(FetchFaultKind.Refused, $"{host} answered with status {status}{said}", false, after),
        };
    }

    /// <summary>The words a service gives: the open forecast API's <c>reason</c>, a problem document's <c>detail</c> or <c>title</c> (RFC 9457).</summary>
    public static string Reason(ReadOnlySpan<byte> body)
    {
        string? reason = null, detail = null, title = null;
        try
        {
            var reader = new Utf8JsonReader(body);
            if (!reader.Read() || reader.TokenType != JsonTokenType.StartObject)
            {
                return string.Empty;
            }

            while (reader.Read() && reader.TokenType == JsonTokenType.PropertyName)
            {
                string name = reader.GetString() ?? string.Empty;
                reader.Read();
                string? value = reader.TokenType == JsonTokenType.String ? reader.GetString() : null;
                reader.Skip();
                reason = name == "reason" ? value : reason;
                detail = name == "detail" ? value : detail;
                title = name == "title" ? value : title;
            }
        }
        catch (Exception e) when (e is JsonException or InvalidOperationException)
        {
            // A body that breaks off may still have said why.
        }

        return Plain(reason ?? detail ?? title ?? string.Empty);
    }

    private static FetchFault TooMany(string host, string reason, string said, Instant? after, Instant now)
    {
        (Instant notBefore, bool soon) = reason switch
        {
            _ when Has("concurrent") => (now + Duration.FromSeconds(2), true),
            _ when Has("Minutely") => (NextWindow(now, NodaConstants.SecondsPerMinute), true),
            _ when Has("Hourly") => (NextWindow(now, NodaConstants.SecondsPerHour), false),
            _ when Has("Daily") => (NextWindow(now, NodaConstants.SecondsPerDay), false),
            _ => (now + Duration.FromMinutes(5), false),
        };
        bool busy = Has("concurrent");
        Instant until = after is { } asked && (asked > notBefore || !Known()) ? asked : notBefore;
        return new FetchFault(
            busy ? FetchFaultKind.Busy : FetchFaultKind.TooMany,
            busy ? $"{host} is still busy with another request from here" : $"{host} has had too many requests from here{said}",
            soon || (!Known() && until - now <= Duration.FromSeconds(30)),
            until);

        bool Has(string word) => reason.Contains(word, StringComparison.OrdinalIgnoreCase);

        bool Known() => Has("concurrent") || Has("Minutely") || Has("Hourly") || Has("Daily");
    }

    private static FetchFault Elsewhere(string host, HttpResponseMessage response)
    {
        string to = response.Headers.Location is { IsAbsoluteUri: true } location ? $" to {location.Host}" : string.Empty;
        return new FetchFault(FetchFaultKind.Refused, $"{host} sends us elsewhere{to}, where we do not follow; set the right address in the settings", false);
    }

    private static string Plain(string text)
    {
        var plain = new StringBuilder();
        foreach (char c in text.AsSpan(0, Math.Min(text.Length, 160)))
        {
            plain.Append(char.IsControl(c) || char.IsSurrogate(c) || c == '"' ? ' ' : c);
        }

        return plain.ToString().Trim().TrimEnd('.');
    }

    private static Instant NextWindow(Instant now, long windowSeconds) =>
        Instant.FromUnixTimeSeconds(((now.ToUnixTimeSeconds() / windowSeconds) + 1) * windowSeconds);
}

using System.Globalization;
using System.Net;
using System.Text.Json;
using GraftWatch.Letters.Channels;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>Asks the geocoder of the settings for places by name (the search of Open-Meteo's geocoding API), within a deadline and a size.</summary>
/// <remarks>
/// A host that is written as a name must lead outside, whatever its name resolves to at the connection; one written as an address, or
/// localhost, is the operator's own word. Redirects are not followed, cookies and proxies not used.
/// </remarks>
internal sealed class PlaceSearch(TimeProvider lineClock, ILogger<PlaceSearch> logger) : IDisposable
{
    /// <summary>Hits that are asked for and shown at most.</summary>
    internal const int MostHits = 10;

    private const int MostBytes = 256 * 1024;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(8);
    private readonly HttpClient outside = Client(mayBeInside: false);
    private readonly HttpClient anywhere = Client(mayBeInside: true);

    /// <summary>Asks.</summary>
    /// <param name="geocoder">Base address.</param>
    /// <param name="name">What was typed.</param>
    /// <param name="language">Tag of the language the answer shall use.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    internal async Task<PlaceSearchResult> AskAsync(Uri geocoder, string name, string language, CancellationToken cancellationToken)
    {
        var address = new Uri(geocoder.GetLeftPart(UriPartial.Path).TrimEnd('/') + string.Create(
            CultureInfo.InvariantCulture, $"/v1/search?name={Uri.EscapeDataString(name)}&count={MostHits}&language={language}&format=json"));
        using var limit = new CancellationTokenSource(Patience, lineClock);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(limit.Token, cancellationToken);
        try
        {
            using HttpResponseMessage reply = await (IsItsOwnWord(geocoder) ? anywhere : outside).GetAsync(address, HttpCompletionOption.ResponseHeadersRead, either.Token).ConfigureAwait(false);
            if (reply.StatusCode != HttpStatusCode.OK)
            {
                return Failed(geocoder, PlaceSearchTrouble.NoAnswer, string.Create(CultureInfo.InvariantCulture, $"status {(int)reply.StatusCode}"));
            }

            byte[]? body = await ReadAsync(reply.Content, either.Token).ConfigureAwait(false);
            return body is null ? Failed(geocoder, PlaceSearchTrouble.Strange, "more than 256 kB")
                : PlaceHits.Read(body) is { } hits ? new PlaceSearchResult.Found(hits)
                : Failed(geocoder, PlaceSearchTrouble.Strange, "no list of places");
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return Failed(geocoder, PlaceSearchTrouble.NoAnswer, "too slow");
        }
        catch (Exception trouble) when (trouble is HttpRequestException or IOException)
        {
            return Failed(geocoder, PlaceSearchTrouble.NoAnswer, (trouble.InnerException ?? trouble).Message);
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        outside.Dispose();
        anywhere.Dispose();
    }

    private static bool IsItsOwnWord(Uri geocoder) => geocoder.HostNameType is UriHostNameType.IPv4 or UriHostNameType.IPv6 || geocoder.Host == "localhost";

    private static HttpClient Client(bool mayBeInside)
    {
        SocketsHttpHandler handler = new OutsideGuard().CreateHandler(mayBeInside);
        handler.AutomaticDecompression = DecompressionMethods.All;
        var client = new HttpClient(handler) { Timeout = Timeout.InfiniteTimeSpan };
        client.DefaultRequestHeaders.TryAddWithoutValidation("User-Agent", "graftwatch");
        client.DefaultRequestHeaders.TryAddWithoutValidation("Accept", "application/json");
        return client;
    }

    private static async Task<byte[]?> ReadAsync(HttpContent content, CancellationToken cancellationToken)
    {
        byte[] buffer = new byte[MostBytes + 1];
        Stream stream = await content.ReadAsStreamAsync(cancellationToken).ConfigureAwait(false);
        await using (stream.ConfigureAwait(false))
        {
            int length = await stream.ReadAtLeastAsync(buffer, buffer.Length, throwOnEndOfStream: false, cancellationToken).ConfigureAwait(false);
            return length > MostBytes ? null : buffer[..length];
        }
    }

    private PlaceSearchResult.Failed Failed(Uri geocoder, PlaceSearchTrouble trouble, string reason)
    {
        Log.PlaceSearchFailed(logger, geocoder.Host, reason);
        return new PlaceSearchResult.Failed(trouble);
    }
}

/// <summary>What a search came to.</summary>
internal abstract record PlaceSearchResult
{
    private PlaceSearchResult()
    {
    }

    /// <summary>An answer, perhaps without a hit.</summary>
    internal sealed record Found(IReadOnlyList<PlaceHit> Hits) : PlaceSearchResult;

    /// <summary>None.</summary>
    internal sealed record Failed(PlaceSearchTrouble Why) : PlaceSearchResult;
}

/// <summary>Why a search came to nothing.</summary>
internal enum PlaceSearchTrouble
{
    /// <summary>Nobody answered, or with a refusal, or too late.</summary>
    NoAnswer = 0,

    /// <summary>The answer is no list of places.</summary>
    Strange,
}

/// <summary>A place that was found.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Within">Region and country, as far as they are known.</param>
/// <param name="Where">Position, with the height where it is known.</param>
/// <param name="Zone">Time zone where it is known.</param>
internal sealed record PlaceHit(string Name, IReadOnlyList<string> Within, Position Where, DateTimeZone? Zone);

/// <summary>Reads the answer: nothing in it is taken on trust.</summary>
internal static class PlaceHits
{
    private const int LongestName = 80;
    private static readonly JsonDocumentOptions Shallow = new() { MaxDepth = 16 };

    /// <summary>The hits that have a name and a position; null when it is no answer of a geocoder. Without a hit the list is absent.</summary>
    internal static IReadOnlyList<PlaceHit>? Read(ReadOnlyMemory<byte> body)
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(body, Shallow);
            if (document.RootElement.ValueKind != JsonValueKind.Object)
            {
                return null;
            }

            return !document.RootElement.TryGetProperty("results", out JsonElement results) ? []
                : results.ValueKind != JsonValueKind.Array ? null
                : [.. results.EnumerateArray().Select(Hit).OfType<PlaceHit>().Take(PlaceSearch.MostHits)];
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private static PlaceHit? Hit(JsonElement one)
    {
        if (one.ValueKind != JsonValueKind.Object
            || Words(one, "name") is not { Length: > 0 } name
            || Number(one, "latitude") is not (>= -90 and <= 90 and var latitudeDeg)
            || Number(one, "longitude") is not (>= -180 and <= 180 and var longitudeDeg))
        {
            return null;
        }

        // A height of zero is left out by the service, as is one that is not known: both are asked for.
        double? elevationM = Number(one, "elevation") is >= -430 and <= 9000 and var height ? Math.Round(height) : null;
        DateTimeZone? zone = Words(one, "timezone") is { Length: > 0 } id ? DateTimeZoneProviders.Tzdb.GetZoneOrNull(id) : null;
        string[] within = [.. new[] { Words(one, "admin1"), Words(one, "country") }.Where(word => word.Length > 0)];
        return new PlaceHit(name, within, new Position(latitudeDeg, longitudeDeg, elevationM), zone);
    }

    private static double? Number(JsonElement one, string key) =>
        one.TryGetProperty(key, out JsonElement value) && value.ValueKind == JsonValueKind.Number && value.TryGetDouble(out double number) && double.IsFinite(number) ? number : null;

    // Controls and marks that turn the direction of text around would let a name show as another.
    private static string Words(JsonElement one, string key)
    {
        if (!one.TryGetProperty(key, out JsonElement value) || value.ValueKind != JsonValueKind.String)
        {
            return string.Empty;
        }

        string text;
        try
        {
            text = value.GetString()!;
        }
        catch (InvalidOperationException)
        {
            // A lone surrogate.
            return string.Empty;
        }

        string plain = new string([.. text.Where(letter => char.GetUnicodeCategory(letter) is not (UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator or UnicodeCategory.PrivateUse))]).Trim();
        return plain.Length <= LongestName ? plain : string.Empty;
    }
}

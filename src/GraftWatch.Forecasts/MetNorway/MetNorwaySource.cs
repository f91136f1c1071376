using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.MetNorway;

/// <summary>MET Norway's Locationforecast 2.0.</summary>
internal sealed class MetNorwaySource(IMetNorwayApi api, HostLine line, MetNorwayOptions options, IReplyStore store) : IWeatherSource
{
    private static readonly Duration LateGrace = Duration.FromHours(6);

    public string Name => "MET Norway";

    public async Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken)
    {
        if (!options.UserAgent.Contains('@') && !options.UserAgent.Contains("://", StringComparison.Ordinal))
        {
            return Without(place, now, $"{line.Host} wants to know whom to reach: set a contact (a mail address or a page) in the settings");
        }

        // Three decimals are about 100 m; more than four are an error here.
        string latitude = place.Site.LatitudeDeg.ToString("0.###", CultureInfo.InvariantCulture);
        string longitude = place.Site.LongitudeDeg.ToString("0.###", CultureInfo.InvariantCulture);
        string altitude = place.Site.ElevationM.ToString("0", CultureInfo.InvariantCulture);
        string key = $"{line.Host} {latitude} {longitude} {altitude}";
        KeptReply? kept = await store.FindAsync(key, cancellationToken).ConfigureAwait(false);
        if (kept is { Expires: { } expires } && expires > now && Parse(kept.Body, now) is { Weather: not null } current)
        {
            return Answer(place, current, kept.FetchedAt, now, []);
        }

        ReadOnlyMemory<byte> read = default;
        Fetched<MetNorwayResult> got = await line.FetchAsync(
            1,
            token => api.CompleteAsync(latitude, longitude, altitude, kept?.LastModified, token),
            (body, _) =>
            {
                read = body.ToArray();
                MetNorwayResult result = Parse(body, now);
                return new ParsedBody<MetNorwayResult>(result.Weather is null ? null : result, result.Trouble, MayRetry: true);
            },
            cancellationToken).ConfigureAwait(false);
        if (got.NotModified && kept is not null)
        {
            await store.SaveAsync(kept with { Expires = got.Headers.Expires ?? kept.Expires, FetchedAt = got.At }, cancellationToken).ConfigureAwait(false);
            return Answer(place, Parse(kept.Body, now), got.At, now, []);
        }

        if (got.Value is null)
        {
            return Without(place, now, got.Fault?.Sentence ?? $"{line.Host} says nothing changed, but nothing is kept");
        }

        await store.SaveAsync(new KeptReply(key, read, got.Headers.ETag, got.Headers.LastModified, got.Headers.Expires, got.At), cancellationToken).ConfigureAwait(false);
        string[] warnings = got.Headers.IsDeprecated ? ["MET Norway says that this product is about to end (status 203); look for a newer version of this program."] : [];
        return Answer(place, got.Value, got.At, now, warnings);
    }

    private MetNorwayResult Parse(ReadOnlyMemory<byte> body, Instant now) => MetNorwayReply.Parse(body, $"the reply of {line.Host}", now);

    private PlaceWeather Answer(Place place, MetNorwayResult result, Instant fetchedAt, Instant now, IReadOnlyList<string> warnings)
    {
        if (result.Weather is not { } weather)
        {
            return Without(place, now, result.Trouble ?? "nothing usable is kept");
        }

        // A forecast from the future is a wrong clock somewhere; then the time of fetching has to do.
        Instant issuedAt = result.UpdatedAt is { } updated && updated <= fetchedAt + LateGrace ? updated : fetchedAt;
        return new PlaceWeather(
            place, weather, new ForecastInfo(Name, MetNorwayOptions.CreditLine, issuedAt, weather.FirstHourEnd, weather.LastHourEnd, [.. warnings, .. result.Gaps]));
    }

    private PlaceWeather Without(Place place, Instant now, string trouble) =>
        new(place, null, new ForecastInfo(Name, MetNorwayOptions.CreditLine, null, now, now, []), trouble);
}

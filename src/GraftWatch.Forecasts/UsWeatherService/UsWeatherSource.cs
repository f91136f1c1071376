using System.Globalization;
using System.Text;
using System.Text.Json;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.UsWeatherService;

/// <summary>Gridpoint forecasts of the US National Weather Service.</summary>
internal sealed class UsWeatherSource(IUsWeatherApi api, HostLine line, UsWeatherOptions options, IReplyStore store) : IWeatherSource
{
    public string Name => "US National Weather Service";

    public async Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken)
    {
        if (options.UserAgent.Length == 0)
        {
            return Without(place, now, $"{line.Host} wants to know whom to reach: set a contact in the settings");
        }

        (GridCell? cell, string? trouble, bool isKept) = await CellAsync(place, now, mayBeKept: true, cancellationToken).ConfigureAwait(false);
        if (cell is null)
        {
            return Without(place, now, trouble!);
        }

        Fetched<UsGridResult> got = await GridAsync(cell, now, cancellationToken).ConfigureAwait(false);
        if (got.Fault is { Kind: FetchFaultKind.NotFound } && isKept)
        {
            // The grid has been moved since the cell was looked up.
            (GridCell? moved, _, _) = await CellAsync(place, now, mayBeKept: false, cancellationToken).ConfigureAwait(false);
            got = moved is null ? got : await GridAsync(moved, now, cancellationToken).ConfigureAwait(false);
        }

        if (got.Value is not { Weather: { } weather } result)
        {
            return Without(place, now, got.Fault?.Sentence ?? $"{line.Host} sent no grid");
        }

        List<string> gaps = [.. result.Gaps];
        if (result.ElevationM is { } cellM && Math.Abs(cellM - place.Site.ElevationM) > 150)
        {
            gaps.Add(string.Create(CultureInfo.InvariantCulture, $"The forecast cell lies at {cellM:0} m, the place at {place.Site.ElevationM:0} m."));
        }

        Instant issuedAt = result.UpdatedAt is { } updated && updated <= now + Duration.FromHours(6) ? updated : got.At;
        return new PlaceWeather(place, weather, new ForecastInfo(Name, UsWeatherOptions.CreditLine, issuedAt, weather.FirstHourEnd, weather.LastHourEnd, gaps));
    }

    private async Task<Fetched<UsGridResult>> GridAsync(GridCell cell, Instant now, CancellationToken cancellationToken)
    {
        string key = $"{line.Host} {cell}";
        KeptReply? kept = await store.FindAsync(key, cancellationToken).ConfigureAwait(false);
        if (kept is { Expires: { } expires } && expires > now && Parse(kept.Body, now) is { Weather: not null } current)
        {
            return new Fetched<UsGridResult> { Value = current, At = kept.FetchedAt };
        }

        ReadOnlyMemory<byte> read = default;
        Fetched<UsGridResult> got = await line.FetchAsync(
            1,
            token => api.GridAsync(cell.Office, cell.X, cell.Y, kept?.LastModified, token),
            (body, _) =>
            {
                read = body.ToArray();
                UsGridResult result = Parse(body, now);
                return new ParsedBody<UsGridResult>(result.Weather is null ? null : result, result.Trouble, MayRetry: true);
            },
            cancellationToken).ConfigureAwait(false);
        if (got.NotModified && kept is not null)
        {
            await store.SaveAsync(kept with { Expires = got.Headers.Expires ?? kept.Expires, FetchedAt = got.At }, cancellationToken).ConfigureAwait(false);
            return got with { Value = Parse(kept.Body, now) };
        }

        if (got.Value is not null)
        {
            await store.SaveAsync(new KeptReply(key, read, got.Headers.ETag, got.Headers.LastModified, got.Headers.Expires, got.At), cancellationToken).ConfigureAwait(false);
        }

        return got;
    }

    private UsGridResult Parse(ReadOnlyMemory<byte> body, Instant now) => UsGridReply.Parse(body, $"the reply of {line.Host}", now);

    private async Task<(GridCell? Cell, string? Trouble, bool IsKept)> CellAsync(Place place, Instant now, bool mayBeKept, CancellationToken cancellationToken)
    {
        string latitude = place.Site.LatitudeDeg.ToString("0.####", CultureInfo.InvariantCulture);
        string longitude = place.Site.LongitudeDeg.ToString("0.####", CultureInfo.InvariantCulture);
        string key = $"{line.Host} cell {latitude} {longitude}";
        KeptReply? kept = mayBeKept ? await store.FindAsync(key, cancellationToken).ConfigureAwait(false) : null;
        if (kept is not null && now - kept.FetchedAt < options.CellFor && GridCell.Read(Encoding.UTF8.GetString(kept.Body.Span)) is { } known)
        {
            return (known, null, true);
        }

        Fetched<GridCell> got = await line.FetchAsync(
            1, token => api.PointAsync(latitude, longitude, token), (body, _) => GridCell.Parse(body, line.Host), cancellationToken).ConfigureAwait(false);
        if (got.Value is null)
        {
            return (null, got.Fault?.Sentence ?? $"{line.Host} has no grid cell for this place", false);
        }

        await store.SaveAsync(new KeptReply(key, Encoding.UTF8.GetBytes(got.Value.ToString()), null, null, null, got.At), cancellationToken).ConfigureAwait(false);
        return (got.Value, null, false);
    }

    private PlaceWeather Without(Place place, Instant now, string trouble) =>
        new(place, null, new ForecastInfo(Name, UsWeatherOptions.CreditLine, null, now, now, []), trouble);

    /// <summary>A cell of an office's grid.</summary>
    internal sealed record GridCell(string Office, int X, int Y)
    {
        public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Office}/{X},{Y}");

        public static GridCell? Read(string text)
        {
            string[] parts = text.Split('/', ',');
            return parts.Length == 3 && IsOffice(parts[0])
                && int.TryParse(parts[1], NumberStyles.None, CultureInfo.InvariantCulture, out int x)
                && int.TryParse(parts[2], NumberStyles.None, CultureInfo.InvariantCulture, out int y)
                ? new GridCell(parts[0], x, y)
                : null;
        }

        public static ParsedBody<GridCell> Parse(ReadOnlyMemory<byte> body, string host)
        {
            try
            {
                using var document = JsonDocument.Parse(body);
                string? office = document.RootElement.TextAt("properties", "gridId");
                return IsOffice(office) && document.RootElement.WholeAt("properties", "gridX") is { } x && document.RootElement.WholeAt("properties", "gridY") is { } y && x >= 0 && y >= 0
                    ? new(new GridCell(office!, x, y), null, false)
                    : new(null, $"{host} has no grid cell for this place", false);
            }
            catch (JsonException)
            {
                return new(null, $"the reply of {host} is cut off or not valid JSON", true);
            }
        }

        private static bool IsOffice(string? office) => office is { Length: 3 or 4 } && office.All(char.IsAsciiLetterOrDigit);
    }
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>The open forecast API: one request for many places, one location a forecast cell.</summary>
internal sealed class OpenForecastSource(IOpenForecastApi api, IOpenModelApi models, HostLine line, OpenForecastOptions options) : IBatchWeatherSource
{
    private static readonly string Columns = string.Join(',', ReplyColumns.Wanted);

    public string Name => "Open-Meteo";

    public async Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken) =>
        (await FetchManyAsync([place], now, cancellationToken).ConfigureAwait(false))[0];

    public async Task<IReadOnlyList<PlaceWeather>> FetchManyAsync(IReadOnlyList<Place> places, Instant now, CancellationToken cancellationToken)
    {
        var answers = new PlaceWeather[places.Count];
        ModelRun? run = await FetchRunAsync(cancellationToken).ConfigureAwait(false);
        ILookup<ForecastCell, int> placesOfCell = Enumerable.Range(0, places.Count).ToLookup(i => ForecastCell.Of(places[i]));
        foreach (ForecastCell[] cells in placesOfCell.Select(c => c.Key).Chunk(options.MostLocations))
        {
            Fetched<SavedReplyResult> got = await FetchCellsAsync(cells, now, cancellationToken).ConfigureAwait(false);
            for (int c = 0; c < cells.Length; c++)
            {
                ReplyLocation? location = got.Value is { } reply && c < reply.Locations.Count ? reply.Locations[c] : null;
                foreach (int p in placesOfCell[cells[c]])
                {
                    answers[p] = Answer(places[p], location, got, run, now);
                }
            }
        }

        return answers;
    }

    private Task<Fetched<SavedReplyResult>> FetchCellsAsync(ForecastCell[] cells, Instant now, CancellationToken cancellationToken)
    {
        string latitude = string.Join(',', cells.Select(c => c.Latitude));
        string longitude = string.Join(',', cells.Select(c => c.Longitude));
        string elevation = string.Join(',', cells.Select(c => c.Elevation));
        var reading = new ReplyReading { Name = $"the reply of {line.Host}", StartOfForecast = now, MostBytes = options.MostBytes, MostLocations = Math.Max(2, cells.Length) };
        return line.FetchAsync(
            RequestWeight.Of(ReplyColumns.Wanted.Count, options.PastDays + options.ForecastDays, cells.Length),
            token => api.ForecastAsync(
                latitude, longitude, elevation, Columns, options.PastDays, options.ForecastDays, "GMT", "unixtime", "ms", options.Model, options.ApiKey, token),
            (body, _) => Read(body, reading, cells.Length),
            cancellationToken);
    }

    private static ParsedBody<SavedReplyResult> Read(ReadOnlyMemory<byte> body, ReplyReading reading, int expected)
    {
        SavedReplyResult result = SavedReply.Parse(body, reading);
        if (result.Locations.Count == 0)
        {
            return new(null, result.Faults[0].TrimEnd('.'), MayRetry: true);
        }

        return result.Locations.Count == expected
            ? new(result, null, MayRetry: false)
            : new(null, $"{reading.Name} holds {result.Locations.Count} locations where {expected} were asked for", MayRetry: true);
    }

    /// <summary>When the model behind the forecast last ran; a service can go on serving an old run in perfect shape.</summary>
    private async Task<ModelRun?> FetchRunAsync(CancellationToken cancellationToken) => options.RunOf is { } model
        ? (await line.FetchAsync(0, token => models.MetaAsync(model, token), (body, _) => ModelRun.Read(body), cancellationToken).ConfigureAwait(false)).Value
        : null;

    private PlaceWeather Answer(Place place, ReplyLocation? location, Fetched<SavedReplyResult> got, ModelRun? run, Instant now)
    {
        if (location?.Weather is { } weather)
        {
            List<string> gaps = [.. location.Gaps, .. Distance.Remarks(place.Site, location, "The forecast")];
            if (run is not null && run.IsLate(now))
            {
                gaps.Add($"The model {options.RunOf} last ran at {QuantityWords.Stamp(run.StartedAt)}; its next run is overdue.");
            }

            Instant issuedAt = run is null ? got.At : Instant.Min(run.AvailableAt, got.At);
            return new PlaceWeather(place, weather, new ForecastInfo(Name, OpenForecastOptions.CreditLine, issuedAt, weather.FirstHourEnd, weather.LastHourEnd, gaps));
        }

        string trouble = got.Fault?.Sentence ?? (location is { Faults: [var fault, ..] } ? fault.TrimEnd('.') : $"{line.Host} sent nothing for this place");
        return new PlaceWeather(place, null, new ForecastInfo(Name, OpenForecastOptions.CreditLine, null, now, now, []), trouble);
    }
}

using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Past hours from the archives of the open forecast API.</summary>
internal sealed class OpenPastSource(IOpenPastApi api, HostLine line, OpenPastOptions options) : IPastWeatherSource
{
    // The archive has its own soil layers; the other names are the same.
    private static readonly string ArchiveColumns = string.Join(
        ',',
        [.. ReplyColumns.Wanted.Where(n => !n.StartsWith("soil_", StringComparison.Ordinal)), "soil_temperature_0_to_7cm", "soil_temperature_7_to_28cm", "soil_moisture_0_to_7cm"]);

    private static readonly string ForecastColumns = string.Join(',', ReplyColumns.Wanted);
    private static readonly LocalDatePattern Day = LocalDatePattern.Iso;

    public string Name => options.IsArchive ? "Open-Meteo archive" : "Open-Meteo past forecasts";

    public async Task<PlaceWeather> FetchPastAsync(Place place, Instant from, Instant to, CancellationToken cancellationToken)
    {
        var cell = ForecastCell.Of(place);

        // An hour that ends at midnight stands on the next day.
        LocalDate first = from.InUtc().Date, last = to.InUtc().Date;
        string columns = options.IsArchive ? ArchiveColumns : ForecastColumns;
        var reading = new ReplyReading { Name = $"the reply of {line.Host}", StartOfForecast = to };
        Fetched<SavedReplyResult> got = await line.FetchAsync(
            RequestWeight.Of(ReplyColumns.Wanted.Count, Period.DaysBetween(first, last) + 1, 1),
            token => SendAsync(cell, columns, Day.Format(first), Day.Format(last), token),
            (body, _) => Read(body, reading),
            cancellationToken).ConfigureAwait(false);
        if (got.Value is { Locations: [{ Weather: { } weather } location] } && WeatherWindow.Cut(weather, from, to) is { } hours)
        {
            return new PlaceWeather(place, hours, new ForecastInfo(Name, OpenForecastOptions.CreditLine, got.At, hours.FirstHourEnd, hours.LastHourEnd, location.Gaps));
        }

        string trouble = got.Fault?.Sentence ?? $"{line.Host} has none of the hours asked for";
        return new PlaceWeather(place, null, new ForecastInfo(Name, OpenForecastOptions.CreditLine, null, from, to, []), trouble);
    }

    private Task<HttpResponseMessage> SendAsync(ForecastCell cell, string columns, string first, string last, CancellationToken cancellationToken) => options.IsArchive
        ? api.ArchiveAsync(cell.Latitude, cell.Longitude, cell.Elevation, columns, first, last, "GMT", "unixtime", "ms", options.ApiKey, cancellationToken)
        : api.PastForecastAsync(cell.Latitude, cell.Longitude, cell.Elevation, columns, first, last, "GMT", "unixtime", "ms", options.ApiKey, cancellationToken);

    private static ParsedBody<SavedReplyResult> Read(ReadOnlyMemory<byte> body, ReplyReading reading)
    {
        SavedReplyResult result = SavedReply.Parse(body, reading);
        return result.IsUsable ? new(result, null, false) : new(null, result.Faults[0].TrimEnd('.'), result.Locations.Count == 0);
    }
}

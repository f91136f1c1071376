using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Members of an ensemble of the open forecast API; the control run counts as one.</summary>
internal sealed class OpenEnsembleSource(IOpenEnsembleApi api, HostLine line, OpenEnsembleOptions options) : IMemberSource
{
    // A member that stops early would be half the main run and no member at all.
    private const int FewestHours = 24;

    public async Task<IReadOnlyList<HourlyWeather>> FetchMembersAsync(Place place, Instant now, CancellationToken cancellationToken)
    {
        var cell = ForecastCell.Of(place);
        var reading = new ReplyReading { Name = $"the reply of {line.Host}", StartOfForecast = now };
        Fetched<SavedReplyResult> got = await line.FetchAsync(
            RequestWeight.Of(options.Columns.Count, options.ForecastDays, 1, options.Members),
            token => api.EnsembleAsync(
                cell.Latitude, cell.Longitude, cell.Elevation, string.Join(',', options.Columns), options.Model, options.ForecastDays, "GMT", "unixtime", "ms", options.ApiKey, token),
            (body, _) => Read(body, reading),
            cancellationToken).ConfigureAwait(false);
        return got.Value is { Locations: [{ Weather: { } control } location] }
            ? [.. new[] { control }.Concat(location.Members).Where(m => ForecastHours(m, now) >= FewestHours)]
            : [];
    }

    private static ParsedBody<SavedReplyResult> Read(ReadOnlyMemory<byte> body, ReplyReading reading)
    {
        SavedReplyResult result = SavedReply.Parse(body, reading);
        return result.IsUsable ? new(result, null, false) : new(null, result.Faults[0].TrimEnd('.'), result.Locations.Count == 0);
    }

    private static int ForecastHours(HourlyWeather member, Instant now)
    {
        int known = 0;
        ReadOnlySpan<double> air = member[WeatherQuantity.AirC];
        for (int i = Math.Max(0, member.IndexOf(now) + 1); i < air.Length; i++)
        {
            known += double.IsNaN(air[i]) ? 0 : 1;
        }

        return known;
    }
}

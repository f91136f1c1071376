using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Weather from a reply of the open forecast API that was saved to a file; read again at every fetch.</summary>
/// <param name="path">The file.</param>
/// <param name="pastOrigin">What its hours before now are: a model's analysis as the API gives them, or measured.</param>
/// <param name="credit">Credit line of whoever made the values; empty when unknown.</param>
public sealed class SavedReplySource(string path, WeatherOrigin pastOrigin = WeatherOrigin.Analysed, string credit = "") : IWeatherSource
{
    private static readonly Duration Horizon = Duration.FromDays(10);
    private readonly ReplyReading reading = new() { Name = Path.GetFileName(path), PastOrigin = pastOrigin };

    /// <inheritdoc/>
    public string Name => $"saved reply {Path.GetFileName(path)}";

    /// <summary>The hours of the file from its first to ten days after <paramref name="now"/>.</summary>
    public async Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken)
    {
        (byte[] bytes, string? trouble) = await ReadAsync(cancellationToken).ConfigureAwait(false);
        if (trouble is not null)
        {
            return Without(place, now, trouble);
        }

        SavedReplyResult result = SavedReply.Parse(bytes, reading with { StartOfForecast = now });
        ReplyLocation[] usable = [.. result.Locations.Where(l => l.Weather is not null)];
        if (usable.Length == 0)
        {
            return Without(place, now, result.Faults[0].TrimEnd('.'));
        }

        ReplyLocation location = usable.MinBy(l => Distance.Metres(place.Site, l) ?? double.MaxValue)!;
        HourlyWeather whole = location.Weather!;
        if (whole.LastHourEnd <= now || whole.FirstHourEnd > now + Duration.FromDays(1)
            || WeatherWindow.Cut(whole, whole.FirstHourEnd, now + Horizon) is not { } weather)
        {
            return Without(
                place,
                now,
                $"{reading.Name} holds the hours from {QuantityWords.Stamp(whole.FirstHourEnd)} to {QuantityWords.Stamp(whole.LastHourEnd)}, none of them after {QuantityWords.Stamp(now)} or the day before");
        }

        List<string> gaps = [.. location.Gaps, .. Distance.Remarks(place.Site, location, reading.Name)];
        return new PlaceWeather(place, weather, new ForecastInfo(Name, credit, null, weather.FirstHourEnd, weather.LastHourEnd, gaps));
    }

    private PlaceWeather Without(Place place, Instant now, string trouble) =>
        new(place, null, new ForecastInfo(Name, credit, null, now, now, []), trouble);

    private async Task<(byte[] Bytes, string? Trouble)> ReadAsync(CancellationToken cancellationToken)
    {
        try
        {
            var file = new FileInfo(path);
            if (file.Exists && file.Length > reading.MostBytes)
            {
                return ([], string.Create(CultureInfo.InvariantCulture, $"{reading.Name} is {file.Length:N0} bytes long, more than the {reading.MostBytes:N0} that are read"));
            }

            return (await File.ReadAllBytesAsync(path, cancellationToken).ConfigureAwait(false), null);
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            return ([], $"there is no file {path}");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
        {
            return ([], $"the file {path} cannot be read: {e.Message.TrimEnd('.')}");
        }
    }
}

using System.Text;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Forecasts.Joining;

/// <summary>A history whose hours are in the store's weather log, and whose last forecast's name and age are a kept reply.</summary>
/// <remarks>
/// The log never takes a known hour away: where a new run has a gap an older run's hour stays in it, and counts only once it is past. When the note about
/// the last forecast is lost, the hours are still there and merely too old to be a forecast.
/// </remarks>
public sealed class LoggedWeatherHistory(IWeatherLog log, IReplyStore notes) : IWeatherHistory
{
    private const string Series = "joined";
    private static readonly Duration Furthest = Duration.FromDays(400);
    private static readonly Instant LongAgo = Instant.FromUnixTimeSeconds(0);
    private static readonly InstantPattern Stamp = InstantPattern.ExtendedIso;

    /// <inheritdoc/>
    public async Task<KeptWeather?> LoadAsync(string place, Instant from, CancellationToken cancellationToken)
    {
        KeptReply? note = await notes.FindAsync(Key(place), cancellationToken).ConfigureAwait(false);
        string[] lines = note is null ? [] : Encoding.UTF8.GetString(note.Body.Span).Split('\n');
        Instant? issuedAt = lines.Length == 4 && Stamp.Parse(lines[2]) is { Success: true } issued ? issued.Value : null;
        Instant? last = lines.Length == 4 && Stamp.Parse(lines[3]) is { Success: true } end ? end.Value : null;
        Instant first = Instant.FromUnixTimeSeconds((from.ToUnixTimeSeconds() + 3599) / 3600 * 3600);
        Instant to = last ?? first + Furthest;
        HourlyWeather? hours = to < first ? null : await log.LoadAsync(place, Series, first, to, cancellationToken).ConfigureAwait(false);
        if (hours is null || Known(hours) is not { } known)
        {
            return null;
        }

        return new KeptWeather(known, issuedAt is null ? string.Empty : lines[0], issuedAt is null ? string.Empty : lines[1], issuedAt ?? LongAgo);
    }

    /// <inheritdoc/>
    public async Task SaveAsync(string place, KeptWeather weather, CancellationToken cancellationToken)
    {
        await log.KeepAsync(place, Series, weather.Weather, weather.IssuedAt, cancellationToken).ConfigureAwait(false);
        string note = string.Join('\n', weather.Source.ReplaceLineEndings(" "), weather.Credit.ReplaceLineEndings(" "), Stamp.Format(weather.IssuedAt), Stamp.Format(weather.Weather.LastHourEnd));
        await notes.SaveAsync(new KeptReply(Key(place), Encoding.UTF8.GetBytes(note), null, null, null, weather.IssuedAt), cancellationToken).ConfigureAwait(false);
    }

    private static string Key(string place) => "last forecast of " + place;

    /// <summary>The series without the hours before and behind all that is known.</summary>
    private static HourlyWeather? Known(HourlyWeather hours)
    {
        int first = int.MaxValue, last = -1;
        foreach (WeatherQuantity quantity in QuantityWords.All.Where(hours.Has))
        {
            ReadOnlySpan<double> column = hours[quantity];
            for (int i = 0; i < column.Length; i++)
            {
                if (!double.IsNaN(column[i]))
                {
                    first = Math.Min(first, i);
                    last = Math.Max(last, i);
                }
            }
        }

        return last < 0 ? null : WeatherWindow.Cut(hours, hours.EndOf(first), hours.EndOf(last));
    }
}

using System.Collections.Concurrent;
using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Forecasts.Station;

/// <summary>Stations whose program writes a CSV or JSON file; the file is read again whenever it has changed.</summary>
/// <param name="fileOfPlace">Path by name of the place.</param>
public sealed class StationFile(IReadOnlyDictionary<string, string> fileOfPlace) : IStation
{
    private const long MostBytes = 64 * 1024 * 1024;
    private static readonly Duration QuietAfter = Duration.FromHours(6);
    private readonly ConcurrentDictionary<string, (long Length, DateTime Written, StationText.Result Read)> known = new(StringComparer.Ordinal);

    /// <inheritdoc/>
    public async Task<StationHours> ReadAsync(Place place, Instant from, Instant to, CancellationToken cancellationToken)
    {
        if (!fileOfPlace.TryGetValue(place.Name, out string? path))
        {
            return StationHours.None;
        }

        string name = Path.GetFileName(path);
        try
        {
            var file = new FileInfo(path);
            if (!file.Exists)
            {
                return new StationHours(null, [$"The station file {path} of {place.Name} is not there."]);
            }

            if (file.Length > MostBytes)
            {
                return new StationHours(null, [$"The station file {name} is longer than 64 MiB and is not read; start a new one."]);
            }

            if (!known.TryGetValue(path, out (long Length, DateTime Written, StationText.Result Read) last) || last.Length != file.Length || last.Written != file.LastWriteTimeUtc)
            {
                string text = await ReadTextAsync(path, cancellationToken).ConfigureAwait(false);
                last = (file.Length, file.LastWriteTimeUtc, StationText.Parse(text, name, place.Zone));
                known[path] = last;
            }

            return Hours(last.Read, name, from, to);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
        {
            return new StationHours(null, [$"The station file {name} cannot be read: {e.Message.TrimEnd('.')}."]);
        }
    }

    private static StationHours Hours(StationText.Result read, string name, Instant from, Instant to)
    {
        List<string> gaps = [.. read.Faults];
        if (read.Readings.Last is { } last && to - last > QuietAfter)
        {
            gaps.Add(string.Create(CultureInfo.InvariantCulture, $"The station file {name} has nothing new since {(to - last).TotalHours:0} hours."));
        }

        return new StationHours(read.Readings.ToHours(from, to), gaps);
    }

    private static async Task<string> ReadTextAsync(string path, CancellationToken cancellationToken)
    {
        // The station's program may be writing.
        await using var stream = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        using var reader = new StreamReader(stream);
        return await reader.ReadToEndAsync(cancellationToken).ConfigureAwait(false);
    }
}

using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Station;

/// <summary>Readings in order of time, turned into hours.</summary>
internal sealed class StationReadings
{
    // Between readings further apart than this nothing is known.
    private static readonly Duration LongestStep = Duration.FromMinutes(90);

    private readonly List<Instant> times = [];
    private readonly Dictionary<StationColumn, List<double>> values = StationColumn.All.ToDictionary(c => c, _ => new List<double>());

    public Instant? Last => times.Count > 0 ? times[^1] : null;

    /// <summary>Adds a reading; false when it is not later than the one before.</summary>
    public bool TryAdd(Instant at, IReadOnlyDictionary<StationColumn, double> reading)
    {
        if (Last is { } last && at <= last)
        {
            return false;
        }

        times.Add(at);
        foreach ((StationColumn column, List<double> series) in values)
        {
            series.Add(reading.GetValueOrDefault(column, double.NaN));
        }

        return true;
    }

    /// <summary>The hours that end in [<paramref name="from"/>, <paramref name="to"/>]; null when no reading lies near.</summary>
    public HourlyWeather? ToHours(Instant from, Instant to)
    {
        if (times.Count == 0)
        {
            return null;
        }

        long first = Ceiling(Instant.Max(from, times[0])), last = Math.Min(to.ToUnixTimeSeconds() / 3600, (times[^1] + LongestStep).ToUnixTimeSeconds() / 3600);
        if (last < first || last - first > 200_000)
        {
            return null;
        }

        var start = Instant.FromUnixTimeSeconds(first * 3600);
        var builder = new HourlyWeather.Builder(start, (int)(last - first) + 1);
        int next = 0;
        for (int h = 0; h <= last - first; h++)
        {
            Instant end = start + Duration.FromHours(h);

            // The first reading after the hour's start.
            while (next < times.Count && times[next] <= end - Duration.FromHours(1))
            {
                next++;
            }

            foreach ((StationColumn column, List<double> series) in values)
            {
                builder.Set(column.Quantity, h, Hour(column.Hour, series, next, end), WeatherOrigin.Measured);
            }
        }

        return builder.Build();
    }

    private double Hour(StationHour kind, List<double> series, int first, Instant end)
    {
        int after = first;
        while (after < times.Count && times[after] <= end)
        {
            after++;
        }

        return kind == StationHour.AtStamp ? AtStamp(series, after, end) : OverHour(kind, series, first, after, end);
    }

    private double AtStamp(List<double> series, int after, Instant end)
    {
        int b = after - 1;
        while (b >= 0 && double.IsNaN(series[b]) && end - times[b] <= LongestStep)
        {
            b--;
        }

        int a = after;
        while (a < times.Count && double.IsNaN(series[a]) && times[a] - end <= LongestStep)
        {
            a++;
        }

        if (b >= 0 && times[b] == end)
        {
            return series[b];
        }

        if (b < 0 || a >= times.Count || times[a] - times[b] > LongestStep)
        {
            return double.NaN;
        }

        double share = (end - times[b]) / (times[a] - times[b]);
        return series[b] + (share * (series[a] - series[b]));
    }

    private double OverHour(StationHour kind, List<double> series, int first, int after, Instant end)
    {
        double sum = 0, largest = double.NaN;
        int known = 0;
        for (int i = first; i < after; i++)
        {
            if (!double.IsNaN(series[i]))
            {
                known++;
                sum += series[i];
                largest = double.IsNaN(largest) ? series[i] : Math.Max(largest, series[i]);
            }
        }

        // An hour counts when its readings reach its end and follow on those before it without a hole.
        bool covered = known == after - first && known > 0 && end - times[after - 1] < Duration.FromMinutes(30)
            && first > 0 && times[first] - times[first - 1] <= LongestStep;
        return (covered, kind) switch
        {
            (false, _) => double.NaN,
            (_, StationHour.Sum) => sum,
            (_, StationHour.Mean) => sum / known,
            _ => largest,
        };
    }

    private static long Ceiling(Instant at) => (long)Math.Ceiling(at.ToUnixTimeTicks() / (double)NodaConstants.TicksPerHour);
}

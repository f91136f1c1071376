using System.Diagnostics;
using System.Diagnostics.Metrics;

namespace GraftWatch.Records.Engine;

/// <summary>What is measured of the store.</summary>
internal static class StoreMeter
{
    private static readonly Meter Meter = new("GraftWatch");

    private static readonly Histogram<double> Commits = Meter.CreateHistogram<double>(
        "graftwatch.store.commit",
        "s",
        "Time a unit of writing took, from its begin to its commit.",
        tags: null,
        new InstrumentAdvice<double> { HistogramBucketBoundaries = [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5] });

    /// <summary>Notes a commit.</summary>
    /// <param name="since">Stamp of the begin, as <see cref="Stopwatch.GetTimestamp"/> gives it.</param>
    public static void Committed(long since) => Commits.Record(Stopwatch.GetElapsedTime(since).TotalSeconds);
}

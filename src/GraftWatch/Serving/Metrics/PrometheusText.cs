using System.Collections.Concurrent;
using System.Diagnostics.Metrics;
using System.Globalization;
using System.Text;

namespace GraftWatch.Serving.Metrics;

/// <summary>Collects what the instruments measure and writes it in the Prometheus text exposition format, version 0.0.4.</summary>
/// <remarks>
/// Names follow the instruments: dots become underscores, the unit and, for counters, <c>_total</c> are added. Values are kept
/// for the instruments of the meters that are taken in, and only while this object lives.
/// </remarks>
internal sealed class PrometheusText : IDisposable
{
    /// <summary>What the format is called over HTTP.</summary>
    internal const string ContentType = "text/plain; version=0.0.4; charset=utf-8";

    private static readonly double[] UsualBounds = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10];
    private readonly MeterListener listener = new();
    private readonly ConcurrentDictionary<Instrument, Family> families = new();
    private readonly Lock scrape = new();

    /// <summary>Begins to listen.</summary>
    /// <param name="takes">Which meters are taken in.</param>
    internal PrometheusText(Func<Meter, bool> takes)
    {
        listener.InstrumentPublished = (instrument, own) =>
        {
            if (takes(instrument.Meter))
            {
                families.TryAdd(instrument, Family.Of(instrument));
                own.EnableMeasurementEvents(instrument);
            }
        };
        listener.SetMeasurementEventCallback<double>((instrument, value, tags, _) => Note(instrument, value, tags));
        listener.SetMeasurementEventCallback<long>((instrument, value, tags, _) => Note(instrument, value, tags));
        listener.SetMeasurementEventCallback<int>((instrument, value, tags, _) => Note(instrument, value, tags));
        listener.Start();
    }

    /// <summary>Asks the observed instruments and writes everything, families and series in a steady order.</summary>
    internal string Write()
    {
        lock (scrape)
        {
            foreach (Family family in families.Values)
            {
                family.BeforeObserving();
            }

            try
            {
                listener.RecordObservableInstruments();
            }
            catch (AggregateException)
            {
                // What one instrument cannot tell must not hide the others.
            }

            var text = new StringBuilder(4096);
            foreach (Family family in families.Values.OrderBy(family => family.Name, StringComparer.Ordinal))
            {
                family.WriteTo(text);
            }

            return text.ToString();
        }
    }

    public void Dispose() => listener.Dispose();

    private void Note(Instrument instrument, double value, ReadOnlySpan<KeyValuePair<string, object?>> tags)
    {
        if (families.TryGetValue(instrument, out Family? family))
        {
            family.Note(value, tags);
        }
    }

    private sealed class Family
    {
        private readonly string help;
        private readonly Kind kind;
        private readonly bool isObserved;
        private readonly double[] bounds;
        private readonly SortedDictionary<string, Series> series = new(StringComparer.Ordinal);
        private readonly Lock gate = new();

        private Family(Instrument instrument, Kind kind, double[] bounds)
        {
            Name = NameOf(instrument, kind);
            help = instrument.Description ?? string.Empty;
            isObserved = instrument.IsObservable;
            this.kind = kind;
            this.bounds = bounds;
        }

        private enum Kind
        {
            Gauge = 0,
            Counter,
            Histogram,
        }

        public string Name { get; }

        public static Family Of(Instrument instrument) => instrument switch
        {
            Histogram<double> histogram => new Family(instrument, Kind.Histogram, [.. histogram.Advice?.HistogramBucketBoundaries ?? UsualBounds]),
            Counter<long> or Counter<double> or Counter<int> or ObservableCounter<long> or ObservableCounter<double> => new Family(instrument, Kind.Counter, []),
            _ => new Family(instrument, Kind.Gauge, []),
        };

        /// <summary>A series that is not observed this time must not live on with its old value.</summary>
        public void BeforeObserving()
        {
            if (isObserved)
            {
                lock (gate)
                {
                    series.Clear();
                }
            }
        }

        public void Note(double value, ReadOnlySpan<KeyValuePair<string, object?>> tags)
        {
            string labels = Labels(tags);
            lock (gate)
            {
                if (!series.TryGetValue(labels, out Series? one))
                {
                    one = new Series(bounds.Length);
                    series.Add(labels, one);
                }

                if (kind == Kind.Histogram)
                {
                    one.Observe(value, bounds);
                }
                else
                {
                    one.Value = isObserved || kind == Kind.Gauge ? value : one.Value + value;
                }
            }
        }

        public void WriteTo(StringBuilder text)
        {
            lock (gate)
            {
                if (series.Count == 0)
                {
                    return;
                }

                if (help.Length > 0)
                {
                    text.Append("# HELP ").Append(Name).Append(' ').Append(help.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\n", "\\n", StringComparison.Ordinal)).Append('\n');
                }

                text.Append("# TYPE ").Append(Name).Append(kind switch { Kind.Counter => " counter\n", Kind.Histogram => " histogram\n", _ => " gauge\n" });
                foreach ((string labels, Series one) in series)
                {
                    WriteSeries(text, labels, one);
                }
            }
        }

        private void WriteSeries(StringBuilder text, string labels, Series one)
        {
            if (kind != Kind.Histogram)
            {
                Line(text, string.Empty, labels, one.Value);
                return;
            }

            long below = 0;
            for (int bucket = 0; bucket <= bounds.Length; bucket++)
            {
                below += one.Buckets[bucket];
                string bound = bucket < bounds.Length ? Number(bounds[bucket]) : "+Inf";
                Line(text, "_bucket", $"{labels}{(labels.Length > 0 ? "," : string.Empty)}le=\"{bound}\"", below);
            }

            Line(text, "_sum", labels, one.Value);
            Line(text, "_count", labels, below);
        }

        private void Line(StringBuilder text, string suffix, string labels, double value)
        {
            text.Append(Name).Append(suffix);
            if (labels.Length > 0)
            {
                text.Append('{').Append(labels).Append('}');
            }

            text.Append(' ').Append(Number(value)).Append('\n');
        }

        private static string NameOf(Instrument instrument, Kind kind)
        {
            string unit = instrument.Unit switch { "s" => "_seconds", "By" => "_bytes", _ => string.Empty };
            return instrument.Name.Replace('.', '_') + unit + (kind == Kind.Counter ? "_total" : string.Empty);
        }

        private static string Number(double value) => double.IsPositiveInfinity(value) ? "+Inf"
            : double.IsNegativeInfinity(value) ? "-Inf"
            : value.ToString("R", CultureInfo.InvariantCulture);

        private static string Labels(ReadOnlySpan<KeyValuePair<string, object?>> tags)
        {
            if (tags.IsEmpty)
            {
                return string.Empty;
            }

            var text = new StringBuilder();
            foreach ((string name, object? value) in tags)
            {
                text.Append(text.Length > 0 ? "," : string.Empty).Append(name.Replace('.', '_')).Append("=\"");
                foreach (char letter in Convert.ToString(value, CultureInfo.InvariantCulture) ?? string.Empty)
                {
                    _ = letter switch { '\\' => text.Append("\\\\"), '"' => text.Append("\\\""), '\n' => text.Append("\\n"), _ => text.Append(letter) };
                }

                text.Append('"');
            }

            return text.ToString();
        }
    }

    private sealed class Series(int bounds)
    {
        public double Value { get; set; }

        public long[] Buckets { get; } = new long[bounds + 1];

        // A bucket holds what is at most its bound; what is not a number belongs to none but the last.
        public void Observe(double value, double[] upTo)
        {
            int bucket = 0;
            while (bucket < upTo.Length && !(value <= upTo[bucket]))
            {
                bucket++;
            }

            Buckets[bucket]++;
            Value += value;
        }
    }
}

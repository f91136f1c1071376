using System.Diagnostics.Metrics;
using GraftWatch.Records;
using GraftWatch.Records.Ledger;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using NodaTime;

namespace GraftWatch.Serving.Metrics;

/// <summary>What the daemon measures of itself. docs/metrics.md lists every name.</summary>
internal sealed class ServeMetrics : IDisposable
{
    /// <summary>Name of every meter of this program.</summary>
    internal const string MeterName = "GraftWatch";

    private const double Never = double.NaN;
    private readonly ServeState state;
    private readonly SettingsInForce settings;
    private readonly RecordsStore store;
    private readonly TimeProvider clock;
    private readonly Meter meter;
    private readonly PrometheusText text;
    private readonly Counter<long> letters;
    private readonly Histogram<double> delay;
    private readonly Histogram<double> round;
    private readonly GrowersInForce growers;
    private volatile IReadOnlyList<WaitingLetters> waiting = [];
    private volatile IReadOnlyList<Grower> served = [];

    public ServeMetrics(ServeState state, SettingsInForce settings, GrowersInForce growers, RecordsStore store, TimeProvider clock)
    {
        this.state = state;
        this.settings = settings;
        this.growers = growers;
        this.store = store;
        this.clock = clock;
        meter = new Meter(MeterName, version: null, tags: null, scope: this);
        text = new PrometheusText(candidate => candidate.Name == MeterName && (candidate.Scope is null || candidate.Scope == this));
        letters = meter.CreateCounter<long>("graftwatch.letters", unit: null, "Letters by what became of them (sealed, accepted, given-up), kind and channel, since the start.");
        delay = meter.CreateHistogram<double>(
            "graftwatch.letter.delay", "s", "From the hour a letter was due to the receipt of its server.", tags: null,
            new InstrumentAdvice<double> { HistogramBucketBoundaries = [1, 2, 5, 10, 30, 60, 120, 300, 900, 3600, 14400] });
        round = meter.CreateHistogram<double>(
            "graftwatch.round.duration", "s", "Time one grower's letter took to make, weather included.", tags: null,
            new InstrumentAdvice<double> { HistogramBucketBoundaries = [0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30] });
        Observe();
    }

    /// <summary>A letter was sealed, accepted or given up.</summary>
    internal void Letter(LetterSlot slot, string became) => letters.Add(1, new("became", became), new("kind", Word(slot.Kind)), new("channel", Way(slot.Channel)));

    /// <summary>A letter was accepted so long after its hour.</summary>
    internal void Delay(LetterSlot slot, Duration late) => delay.Record(Math.Max(0, late.TotalSeconds), new("kind", Word(slot.Kind)), new("channel", Way(slot.Channel)));

    /// <summary>A letter was made.</summary>
    internal void Round(TimeSpan took) => round.Record(took.TotalSeconds);

    /// <summary>Everything in the Prometheus text format, with fresh counts of the store.</summary>
    internal async Task<string> WriteAsync(CancellationToken cancellationToken)
    {
        served = (await growers.LoadAsync(cancellationToken).ConfigureAwait(false)).Morning.Growers;
        waiting = await store.Figures.LoadWaitingAsync(cancellationToken).ConfigureAwait(false);
        return text.Write();
    }

    public void Dispose()
    {
        text.Dispose();
        meter.Dispose();
    }

    private void Observe()
    {
        Gauge("graftwatch.letters.waiting", null, "Letters that wait to be handed over, by kind and channel.", () => waiting.Select(one => Of(one.Letters, one)));
        Gauge("graftwatch.letters.oldest_waiting", "s", "Age of the oldest letter that waits, by kind and channel.", () => waiting.Select(one => Of(Age(one.OldestSealedAt), one)));
        Gauge("graftwatch.letter.next", "s", "Time until the next letter is due.", () => [new(Next())]);
        Gauge("graftwatch.look.age", "s", "Time since all growers' mornings were last looked through.", () => [new(Age(state.Report().LastLook))]);
        Gauge("graftwatch.weather.age", "s", "Age of the newest forecast, by source.", () => state.Sources().Select(source => Of(Age(source.Value), "source", source.Key)));
        meter.CreateObservableCounter("graftwatch.weather.failures", () => state.WeatherFailures, unit: null, "Times a place had no fresh weather.");
        Gauge("graftwatch.troubles", null, "Things that are not as they should be; /ready names them.", () => [new(state.Report().Troubles.Count)]);
        Gauge("graftwatch.settings.refused", null, "1 while an edit of the settings is refused and the values of before are in force.", () => [new(settings.Refused.Count > 0 ? 1 : 0)]);
        Gauge("graftwatch.growers", null, "Growers who get letters.", () => [new(served.Count)]);
        Gauge("graftwatch.process.memory", "By", "Resident memory of the process.", () => [new(Environment.WorkingSet)]);
        meter.CreateObservableCounter("graftwatch.process.cpu", () => Environment.CpuUsage.TotalTime.TotalSeconds, "s", "Processor time of the process.");
        string version = typeof(ServeMetrics).Assembly.GetName().Version?.ToString(3) ?? "0";
        Gauge("graftwatch.info", null, "Always 1; the label names the program's version.", () => [Of(1, "version", version)]);
    }

    private void Gauge(string name, string? unit, string help, Func<IEnumerable<Measurement<double>>> read) => meter.CreateObservableGauge(name, read, unit, help);

    private static Measurement<double> Of(double value, string label, string word) => new(value, new KeyValuePair<string, object?>(label, word));

    private static Measurement<double> Of(double value, WaitingLetters letters) => new(value, new("kind", Word(letters.Kind)), new("channel", Way(letters.Channel)));

    private static string Word(LetterKind kind) => kind.ToString().ToLowerInvariant();

    // Ways of single growers carry their names; for figures they are one way.
    private static string Way(string channel) => LetterSlot.IsOwn(channel, out _) ? "own" : channel;

    private double Age(Instant? at) => at is { } known ? (Now() - known).TotalSeconds : Never;

    private double Next()
    {
        Instant now = Now();
        return served.Select(grower => (LetterSchedule.NextDue(grower, now).At - now).TotalSeconds).DefaultIfEmpty(Never).Min();
    }

    private Instant Now() => Instant.FromDateTimeOffset(clock.GetUtcNow());
}

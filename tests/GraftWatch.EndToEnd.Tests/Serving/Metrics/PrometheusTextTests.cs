using System.Diagnostics.Metrics;
using CsCheck;
using GraftWatch.Serving.Metrics;

namespace GraftWatch.EndToEnd.Tests.Serving.Metrics;

public sealed class PrometheusTextTests : IDisposable
{
    private readonly Meter meter = new("GraftWatch.Tests." + Guid.NewGuid());
    private readonly PrometheusText text;

    public PrometheusTextTests() => text = new PrometheusText(candidate => candidate == meter);

    public void Dispose()
    {
        text.Dispose();
        meter.Dispose();
    }

    [Fact]
    public void A_counter_adds_up_by_label_and_its_name_ends_as_the_format_wants()
    {
        Counter<long> letters = meter.CreateCounter<long>("graft.letters", null, "Letters.");
        letters.Add(2, new KeyValuePair<string, object?>("kind", "morning"));
        letters.Add(3, new KeyValuePair<string, object?>("kind", "morning"));
        letters.Add(1, new KeyValuePair<string, object?>("kind", "urgent"));
        ExpositionReader.Family family = Read()["graft_letters_total"];
        Assert.Equal("counter", family.Type);
        Assert.Equal("Letters.", family.Help);
        Assert.Equal([5, 1], family.Samples.Select(sample => sample.Value));
    }

    [Fact]
    public void Any_label_and_any_help_comes_back_as_it_went_in()
    {
        Gen.Char["ab\\\"\n{},= é☂"].Array[0, 12].Select(letters => new string(letters)).Sample(words =>
        {
            using var own = new Meter("GraftWatch.Tests.Labels");
            using var written = new PrometheusText(candidate => candidate == own);
            own.CreateGauge<double>("g", null, "Help " + words).Record(1, new KeyValuePair<string, object?>("place", words));
            ExpositionReader.Family family = ExpositionReader.Read(written.Write())["g"];
            Assert.Equal(words, family.Samples[0].Labels["place"]);
            Assert.Equal("Help " + words, family.Help);
        });
    }

    [Fact]
    public void Any_number_comes_back_to_the_last_bit()
    {
        Gen.Double.Sample(number =>
        {
            using var own = new Meter("GraftWatch.Tests.Numbers");
            using var written = new PrometheusText(candidate => candidate == own);
            own.CreateGauge<double>("g").Record(number);
            Assert.Equal(number, ExpositionReader.Read(written.Write())["g"].Samples[0].Value);
        });
    }

    [Fact]
    public void A_histogram_counts_each_value_once_at_its_bound_or_below()
    {
        Gen.Double[-1, 12].Array[1, 40].Sample(values =>
        {
            using var own = new Meter("GraftWatch.Tests.Histogram");
            using var written = new PrometheusText(candidate => candidate == own);
            double[] bounds = [0, 1, 2.5, 10];
            Histogram<double> histogram = own.CreateHistogram<double>("h", "s", null, tags: null, new InstrumentAdvice<double> { HistogramBucketBoundaries = bounds });
            Array.ForEach(values, value => histogram.Record(value));
            histogram.Record(2.5);
            ExpositionReader.Family family = ExpositionReader.Read(written.Write())["h_seconds"];
            double[] all = [.. values, 2.5];
            Assert.Equal(bounds.Select(bound => (double)all.Count(value => value <= bound)).Append(all.Length), family.Samples.Take(5).Select(sample => sample.Value));
            Assert.Equal(all.Sum(), family.Samples[5].Value, 9);
        });
    }

    [Fact]
    public void A_series_that_is_no_longer_observed_is_no_longer_written()
    {
        string[] sources = ["one", "two"];
        meter.CreateObservableGauge("age", () => sources.Select(source => new Measurement<double>(1, new KeyValuePair<string, object?>("source", source))), "s");
        Assert.Equal(2, Read()["age_seconds"].Samples.Count);
        sources = ["two"];
        Assert.Equal("two", Assert.Single(Read()["age_seconds"].Samples).Labels["source"]);
    }

    [Fact]
    public void What_other_meters_measure_is_left_out()
    {
        using var other = new Meter("Other");
        other.CreateCounter<long>("noise").Add(1);
        Assert.Empty(Read());
    }

    [Theory]
    [InlineData("a 1")]
    [InlineData("# TYPE a gauge\na{b=\"c} 1\n")]
    [InlineData("# TYPE a gauge\na 1\na 1\n")]
    [InlineData("# TYPE a histogram\na_bucket{le=\"1\"} 2\na_bucket{le=\"+Inf\"} 1\na_sum 1\na_count 1\n")]
    public void The_reader_of_these_tests_refuses_what_breaks_the_format(string broken) => Assert.ThrowsAny<Exception>(() => ExpositionReader.Read(broken));

    private IReadOnlyDictionary<string, ExpositionReader.Family> Read() => ExpositionReader.Read(text.Write());
}

using System.Buffers;
using System.Globalization;
using BenchmarkDotNet.Attributes;
using BenchmarkDotNet.Columns;
using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Reports;
using BenchmarkDotNet.Running;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Testing.FakeForecastApi;
using NodaTime;

namespace GraftWatch.Benchmarks.ForecastParsing;

/// <summary>A reply for a hundred places, 19 columns, 13 days: from bytes to hours on the grid. The aim is 150 MB/s on one core.</summary>
[MemoryDiagnoser]
[Config(typeof(Throughput))]
public class ForecastParsingBenchmark
{
    private static readonly Instant Now = Instant.FromUtc(2026, 4, 22, 4, 0);
    private byte[] reply = [];

    /// <summary>Length of the reply. [B]</summary>
    public static int ReplyBytes { get; } = Reply().Length;

    [GlobalSetup]
    public void Setup() => reply = Reply();

    [Benchmark]
    public int Hundred_places() => SavedReply.Parse(reply, "reply", Now).Locations.Count;

    private static byte[] Reply()
    {
        var places = Enumerable.Range(0, 100).Select(i => ((45 + (0.05 * i)).ToString("0.##", CultureInfo.InvariantCulture), "9.18", "400")).ToArray();
        string[] names =
        [
            "temperature_2m", "relative_humidity_2m", "dew_point_2m", "wind_speed_10m", "wind_gusts_10m", "wind_direction_10m", "shortwave_radiation",
            "direct_radiation", "diffuse_radiation", "direct_normal_irradiance", "precipitation", "snowfall", "cloud_cover", "soil_temperature_0cm",
            "soil_temperature_6cm", "soil_temperature_18cm", "soil_moisture_3_to_9cm", "et0_fao_evapotranspiration", "surface_pressure",
        ];
        var json = new ArrayBufferWriter<byte>();
        FakeForecastReply.Write(new FakeForecastReply.Asked(places, names, Instant.FromUtc(2026, 4, 20, 0, 0), 13 * 24), json);
        return json.WrittenSpan.ToArray();
    }

    /// <summary>Adds a column of megabytes a second.</summary>
    public sealed class Throughput : ManualConfig
    {
        public Throughput() => AddColumn(new MegabytesPerSecond());
    }

    private sealed class MegabytesPerSecond : IColumn
    {
        public string Id => nameof(MegabytesPerSecond);

        public string ColumnName => "Best MB/s";

        public bool AlwaysShow => true;

        public ColumnCategory Category => ColumnCategory.Custom;

        public int PriorityInCategory => 0;

        public bool IsNumeric => true;

        public UnitType UnitType => UnitType.Dimensionless;

        public string Legend => "Megabytes (10^6 B) of JSON a second on one core, in the quietest iteration";

        public string GetValue(Summary summary, BenchmarkCase benchmarkCase) =>
            summary[benchmarkCase]?.ResultStatistics is { } statistics ? (ReplyBytes / statistics.Min * 1e3).ToString("0", CultureInfo.InvariantCulture) : "?";

        public string GetValue(Summary summary, BenchmarkCase benchmarkCase, SummaryStyle style) => GetValue(summary, benchmarkCase);

        public bool IsDefault(Summary summary, BenchmarkCase benchmarkCase) => false;

        public bool IsAvailable(Summary summary) => true;
    }
}

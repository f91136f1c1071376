using GraftWatch.Forecasts.Station;
using GraftWatch.Forecasts.Tests.OpenForecast;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Station;

public sealed class StationFileTests : IDisposable
{
    private static readonly Instant Now = Instant.FromUtc(2026, 4, 22, 4, 0);
    private readonly string path = Path.Combine(Path.GetTempPath(), Path.GetRandomFileName() + ".csv");

    public void Dispose() => File.Delete(path);

    [Fact]
    public async Task A_file_is_read_again_when_its_program_has_written_also_while_it_holds_it_open()
    {
        var station = new StationFile(new Dictionary<string, string> { ["Slope"] = path });
        await using var writer = new StreamWriter(new FileStream(path, FileMode.Create, FileAccess.Write, FileShare.ReadWrite));
        await writer.WriteAsync("time,air_c\n2026-04-22T02:00Z,1\n");
        await writer.FlushAsync(TestContext.Current.CancellationToken);
        Assert.Equal(1, Assert.Single(Air(await ReadAsync(station))));
        await writer.WriteAsync("2026-04-22T03:00Z,2\n");
        await writer.FlushAsync(TestContext.Current.CancellationToken);
        Assert.Equal(2, Air(await ReadAsync(station))[1]);
    }

    [Fact]
    public async Task A_station_that_fell_silent_is_told()
    {
        await File.WriteAllTextAsync(path, "time,air_c\n2026-04-21T02:00Z,1\n", TestContext.Current.CancellationToken);
        StationHours got = await ReadAsync(new StationFile(new Dictionary<string, string> { ["Slope"] = path }));
        Assert.EndsWith("has nothing new since 26 hours.", Assert.Single(got.Gaps), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_file_that_is_not_there_is_told_and_a_place_without_a_station_is_not()
    {
        Assert.Contains("is not there", Assert.Single((await ReadAsync(new StationFile(new Dictionary<string, string> { ["Slope"] = path }))).Gaps), StringComparison.Ordinal);
        Assert.Same(StationHours.None, await ReadAsync(new StationFile(new Dictionary<string, string>())));
    }

    private static double[] Air(StationHours hours) => [.. hours.Weather![WeatherQuantity.AirC].ToArray().Where(double.IsFinite)];

    private static Task<StationHours> ReadAsync(StationFile station) => station.ReadAsync(Stub.Slope, Now - Duration.FromDays(2), Now, TestContext.Current.CancellationToken);
}

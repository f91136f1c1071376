using System.Diagnostics;
using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Forecasts.Tests.OpenForecast;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing.FakeForecastApi;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Load;

/// <summary>A region's morning against a server on loopback; figures go to the test output.</summary>
public sealed class TwoThousandCellsTests : IAsyncLifetime
{
    private FakeForecastServer server = null!;

    private static readonly Place[] Places =
    [
        .. Enumerable.Range(0, 2_000).Select(i => Stub.Place($"Place {i}", 45 + (0.05 * (i / 50)), 5 + (0.07 * (i % 50)), 300 + (i % 7 * 40))),
        .. Enumerable.Range(0, 500).Select(i => Stub.Place($"Neighbour {i}", 45.002 + (0.05 * (i / 50)), 5.002 + (0.07 * (i % 50)), 302 + (i % 7 * 40))),
    ];

    public async ValueTask InitializeAsync() => server = await FakeForecastServer.StartAsync(Stub.Now, TestContext.Current.CancellationToken);

    public ValueTask DisposeAsync() => server.DisposeAsync();

    [Fact]
    public async Task Two_thousand_cells_are_20_requests_seconds_without_a_budget_and_minutes_within_the_free_host_s()
    {
        OpenForecastOptions options = Stub.Options(server.Url) with { MostLocations = 100 };
        using ServiceProvider provider = Stub.Provider(options);
        var source = provider.GetRequiredService<IBatchWeatherSource>();

        // The first round is the server's: it makes its replies then.
        await source.FetchManyAsync(Places, Stub.Now, TestContext.Current.CancellationToken);
        int warmUp = server.Requests;

        long allocated = GC.GetTotalAllocatedBytes(precise: true), start = Stopwatch.GetTimestamp(), warmUpBytes = server.Bytes;
        IReadOnlyList<PlaceWeather> got = await source.FetchManyAsync(Places, Stub.Now, TestContext.Current.CancellationToken);
        double wallS = Stopwatch.GetElapsedTime(start).TotalSeconds, allocatedMiB = (GC.GetTotalAllocatedBytes(precise: true) - allocated) / 1048576.0;
        double jsonMiB = (server.Bytes - warmUpBytes) / 1048576.0;
        TestContext.Current.TestOutputHelper?.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"2,500 places in 2,000 cells: {server.Requests - warmUp} requests, {wallS:0.00} s, {jsonMiB:0.0} MiB JSON, {allocatedMiB:0} MiB allocated"));

        Assert.All(got, g => Assert.Null(g.Trouble));
        Assert.All(got, g => Assert.Equal(13 * 24, g.Weather!.Hours));
        Assert.Equal(20, server.Requests - warmUp);
        Assert.Equal(4_000, server.Places);
        Assert.Equal(1, server.MostInFlight);
        Assert.InRange(wallS, 0, 60);
        await KeepTheFreeHostsLimitsAsync();
    }

    private async Task KeepTheFreeHostsLimitsAsync()
    {
        var time = new LeapingTime(Stub.Now.ToDateTimeOffset());
        var tallies = new InMemoryRequestTallies();
        OpenForecastOptions options = Stub.Options(server.Url) with { MostLocations = 100, Courtesy = CourtesyPolicy.FreeHost, AttemptTimeout = Duration.FromMinutes(5), TotalTimeout = Duration.FromMinutes(10) };
        using ServiceProvider provider = Stub.Provider(options, time, tallies);
        int before = server.Requests;
        IReadOnlyList<PlaceWeather> got = await provider.GetRequiredService<IBatchWeatherSource>().FetchManyAsync(Places, Stub.Now, TestContext.Current.CancellationToken);
        Assert.All(got, g => Assert.Null(g.Trouble));
        double minutes = (Instant.FromDateTimeOffset(time.GetUtcNow()) - Stub.Now).TotalMinutes;
        RequestTally tally = (await tallies.FindAsync(server.Url.Authority, TestContext.Current.CancellationToken))!;
        TestContext.Current.TestOutputHelper?.WriteLine(string.Create(
            CultureInfo.InvariantCulture, $"free host: {server.Requests - before} requests, {tally.DayUsed:0} calls of the day, {minutes:0.0} min by the clock"));

        // 19 columns over 13 days weigh 1.9; two requests of a hundred cells fit into a minute of 540.
        Assert.Equal(20, server.Requests - before);
        Assert.Equal(3_800, tally.DayUsed, 6);
        Assert.InRange(minutes, 8.9, 9.1);
    }

    /// <summary>A clock on which every wait of up to two minutes is over at once and has taken its time; longer deadlines never come.</summary>
    private sealed class LeapingTime(DateTimeOffset start) : TimeProvider
    {
        private long ticks = start.UtcTicks;

        public override long TimestampFrequency => TimeSpan.TicksPerSecond;

        public override DateTimeOffset GetUtcNow() => new(Volatile.Read(ref ticks), TimeSpan.Zero);

        public override long GetTimestamp() => Volatile.Read(ref ticks);

        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            if (dueTime > TimeSpan.Zero && dueTime <= TimeSpan.FromMinutes(2))
            {
                Interlocked.Add(ref ticks, dueTime.Ticks);
                ThreadPool.QueueUserWorkItem(_ => callback(state));
            }

            return new NoTimer();
        }

        private sealed class NoTimer : ITimer
        {
            public bool Change(TimeSpan dueTime, TimeSpan period) => true;

            public void Dispose()
            {
            }

            public ValueTask DisposeAsync() => ValueTask.CompletedTask;
        }
    }
}

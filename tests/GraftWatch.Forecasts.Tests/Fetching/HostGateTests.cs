using GraftWatch.Forecasts.Fetching;
using Microsoft.Extensions.Time.Testing;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Fetching;

public sealed class HostGateTests
{
    private static readonly DateTimeOffset Start = new(2026, 4, 22, 6, 30, 10, TimeSpan.Zero);
    private readonly FakeTimeProvider time = new(Start);
    private readonly InMemoryRequestTallies tallies = new();

    [Fact]
    public async Task One_request_is_under_way_at_a_time()
    {
        using HostGate gate = Gate(new CourtesyPolicy());
        (IDisposable? first, _) = await Enter(gate, 1);
        Task<(IDisposable? Turn, FetchFault? Fault)> second = Enter(gate, 1);
        Assert.False(second.IsCompleted);
        first!.Dispose();
        first.Dispose();
        Assert.NotNull((await second).Turn);
        Assert.False(Enter(gate, 1).IsCompleted);
    }

    [Fact]
    public async Task The_next_minute_s_share_is_waited_for()
    {
        using HostGate gate = Gate(new CourtesyPolicy { PerMinute = 5 });
        (await Enter(gate, 4)).Turn!.Dispose();
        Task<(IDisposable? Turn, FetchFault? Fault)> second = Enter(gate, 2);
        time.Advance(TimeSpan.FromSeconds(49));
        Assert.False(second.IsCompleted);
        time.Advance(TimeSpan.FromSeconds(1));
        Assert.NotNull((await second).Turn);
    }

    [Fact]
    public async Task The_share_of_an_hour_and_of_a_day_is_never_exceeded_and_comes_back_at_the_turn()
    {
        using HostGate gate = Gate(new CourtesyPolicy { PerMinute = 100, PerHour = 10, PerDay = 15 });
        (await Enter(gate, 10)).Turn!.Dispose();
        FetchFault hour = (await Enter(gate, 1)).Fault!;
        Assert.Equal((FetchFaultKind.ShareUsedUp, Instant.FromUtc(2026, 4, 22, 7, 0)), (hour.Kind, hour.NotBefore));
        time.Advance(TimeSpan.FromMinutes(30));
        (await Enter(gate, 5)).Turn!.Dispose();
        FetchFault day = (await Enter(gate, 1)).Fault!;
        Assert.Equal(Instant.FromUtc(2026, 4, 23, 0, 0), day.NotBefore);
        time.Advance(TimeSpan.FromHours(17));
        Assert.NotNull((await Enter(gate, 10)).Turn);
    }

    [Fact]
    public async Task The_tally_and_a_wish_to_be_left_alone_outlast_a_restart()
    {
        using (HostGate gate = Gate(new CourtesyPolicy { PerDay = 10 }))
        {
            (await Enter(gate, 9)).Turn!.Dispose();
            await gate.HoldAsync(Instant.FromDateTimeOffset(Start) + Duration.FromHours(2), "too many", TestContext.Current.CancellationToken);
        }

        using HostGate again = Gate(new CourtesyPolicy { PerDay = 10 });
        Assert.Contains("is not asked again before 2026-04-22 08:30 UTC: too many", (await Enter(again, 1)).Fault!.Sentence, StringComparison.Ordinal);
        time.Advance(TimeSpan.FromHours(3));
        Assert.Equal(FetchFaultKind.ShareUsedUp, (await Enter(again, 2)).Fault!.Kind);
        Assert.NotNull((await Enter(again, 1)).Turn);
    }

    [Fact]
    public async Task A_wish_of_years_counts_for_a_day()
    {
        using HostGate gate = Gate(new CourtesyPolicy());
        await gate.HoldAsync(Instant.FromUtc(2036, 1, 1, 0, 0), "go away", TestContext.Current.CancellationToken);
        time.Advance(TimeSpan.FromHours(25));
        Assert.NotNull((await Enter(gate, 1)).Turn);
    }

    [Fact]
    public async Task A_clock_set_back_does_not_give_a_second_share()
    {
        using HostGate gate = Gate(new CourtesyPolicy { PerDay = 10 });
        (await Enter(gate, 10)).Turn!.Dispose();
        using var back = new HostGate("host", new CourtesyPolicy { PerDay = 10 }, tallies, new FakeTimeProvider(Start.AddHours(-12)));
        Assert.NotNull((await Enter(back, 1)).Fault);
    }

    [Theory]
    [InlineData(10, 14, 1, 1, 1)]
    [InlineData(26, 10, 1, 1, 2.6)]
    [InlineData(26, 10, 40, 1, 104)]
    [InlineData(15, 31, 2, 1, 6.642857142857143)]
    [InlineData(3, 7, 1, 51, 15.3)]
    public void A_request_weighs_what_the_service_says(int columns, int days, int places, int members, double expected) =>
        Assert.Equal(expected, RequestWeight.Of(columns, days, places, members), 9);

    private static Task<(IDisposable? Turn, FetchFault? Fault)> Enter(HostGate gate, double weight) => gate.EnterAsync(weight, TestContext.Current.CancellationToken);

    private HostGate Gate(CourtesyPolicy policy) => new("host", policy, tallies, time);
}

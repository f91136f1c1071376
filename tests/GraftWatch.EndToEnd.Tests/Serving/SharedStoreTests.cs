namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>Daemons that share one PostgreSQL server.</summary>
public sealed class SharedStoreTests
{
    private static readonly TimeSpan Limit = TimeSpan.FromSeconds(60);

    [Fact]
    public async Task Two_daemons_share_a_morning_and_no_slot_comes_twice()
    {
        await using Region region = await Region.StartAsync(growers: 24, mailMs: 100);
        var weather = new TaskCompletionSource();
        region.WeatherOpens(weather.Task);
        await using ServeProcess first = region.Serve();
        await using ServeProcess second = region.Serve();
        await first.SaysAsync("[5001]", Limit);
        await second.SaysAsync("[5001]", Limit);
        await Task.Delay(TimeSpan.FromSeconds(3), TestContext.Current.CancellationToken);
        weather.SetResult();
        await region.AllReceivedAsync(Limit, first, second);
        Assert.True(first.Sealed > 0 && second.Sealed > 0, $"Sealed by the first {first.Sealed}, by the second {second.Sealed}.");
        Assert.Equal(0, await first.EndAsync());
        Assert.Equal(0, await second.EndAsync());
        await region.AssertOneEachAsync();
    }
}

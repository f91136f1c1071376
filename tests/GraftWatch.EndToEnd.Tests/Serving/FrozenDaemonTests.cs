namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>A daemon that stands still for longer than it may while another shares its store.</summary>
public sealed class FrozenDaemonTests
{
    private static readonly TimeSpan Limit = TimeSpan.FromSeconds(60);

    [Fact]
    public async Task A_daemon_that_froze_and_woke_sends_nothing_that_the_other_sent()
    {
        await using Region region = await Region.StartAsync(growers: 24, mailMs: 250);
        await using ServeProcess first = region.Serve();
        await using ServeProcess second = region.Serve();
        await region.ReceivedAsync(4, Limit, first, second);
        ServeProcess frozen = first.Accepted >= second.Accepted ? first : second;
        frozen.Freeze();
        await Task.Delay(TimeSpan.FromSeconds(35), TestContext.Current.CancellationToken);
        frozen.Thaw();
        await region.AllReceivedAsync(Limit, first, second);
        await Task.Delay(TimeSpan.FromSeconds(5), TestContext.Current.CancellationToken);
        await region.AssertOneEachAsync();
    }
}

using System.Collections.Concurrent;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>Letters sent by hand while a daemon of another process seals and sends the same ones.</summary>
public sealed class SendBesideServeTests
{
    private static readonly TimeSpan Limit = TimeSpan.FromSeconds(90);

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_letter_sent_by_hand_beside_a_running_daemon_leaves_once(bool fileStore)
    {
        const int Growers = 24;
        await using Region region = await Region.StartAsync(Growers, mailMs: 500, fileStore);
        await using ServeProcess daemon = region.Serve();

        // Twice each: hands meet each other as well as the daemon.
        var said = new ConcurrentBag<(int Code, string Messages)>();
        await Parallel.ForEachAsync(
            Enumerable.Range(0, Growers).Reverse().SelectMany(grower => new[] { grower, grower }),
            new ParallelOptions { MaxDegreeOfParallelism = 4, CancellationToken = TestContext.Current.CancellationToken },
            async (grower, _) => said.Add(await region.SendByHandAsync(grower)));
        await region.AllReceivedAsync(Limit, daemon);
        Assert.Equal(0, await daemon.EndAsync());

        TestContext.Current.SendDiagnosticMessage($"By hand: {Count("Sent to")} sent, {Count("was sent already")} were sent, {Count("in the hands of another")} in other hands; by the daemon: {daemon.Accepted}.");
        Assert.All(said, one => Assert.True(one.Code is 0 or 3, one.Messages));
        Assert.Equal(Growers, Count("Sent to") + daemon.Accepted);
        await region.AssertOneEachAsync();

        int Count(string words) => said.Count(one => one.Messages.Contains(words, StringComparison.Ordinal));
    }
}

using System.Diagnostics;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>A daemon that dies while another shares its store.</summary>
public sealed class KilledDaemonTests
{
    private static readonly TimeSpan Limit = TimeSpan.FromMinutes(3);

    [Fact]
    public async Task When_one_daemon_is_killed_in_mid_morning_the_other_sends_what_it_held()
    {
        await using Region region = await Region.StartAsync(growers: 24, mailMs: 250);
        await using ServeProcess first = region.Serve();
        await using ServeProcess second = region.Serve();
        await region.ReceivedAsync(4, Limit, first, second);
        await (first.Sealed >= second.Sealed ? first : second).KillAsync();
        var since = Stopwatch.StartNew();
        IReadOnlySet<string> onTheLine = await region.OnTheLineAsync();
        await region.AllReceivedAsync(Limit, first, second);
        TestContext.Current.SendDiagnosticMessage($"Taken over after {since.Elapsed.TotalSeconds:F0} s; {onTheLine.Count} letters were on lines.");
        await region.AssertOneEachAsync(onTheLine);
    }
}

using System.Diagnostics;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>A daemon that dies while another shares its store.</summary>
public sealed class KilledDaemonTests
{
    private static readonly TimeSpan Limit = TimeSpan.FromSeconds(60);

    [Fact]
    public async Task When_one_daemon_is_killed_in_mid_morning_the_other_takes_over_within_a_minute()
    {
        await using Region region = await Region.StartAsync(growers: 24, mailMs: 250);
        await using ServeProcess first = region.Serve();
        await using ServeProcess second = region.Serve();
        await region.ReceivedAsync(4, Limit, first, second);
        (first.Sealed >= second.Sealed ? first : second).Kill();
        var since = Stopwatch.StartNew();
        int allowed = await region.AllReceivedAsync(Limit, first, second);
        TestContext.Current.SendDiagnosticMessage($"Taken over after {since.Elapsed.TotalSeconds:F0} s, {allowed} letters twice.");

        // As many as were on the killed daemon's lines to the mail server: it may have taken each without the daemon hearing of it.
        await region.AssertOneEachAsync(doubled: 4);
    }
}

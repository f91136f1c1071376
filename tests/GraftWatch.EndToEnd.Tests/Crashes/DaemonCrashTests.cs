using GraftWatch.Crash.Lives;
using GraftWatch.Crash.Watching;

namespace GraftWatch.EndToEnd.Tests.Crashes;

/// <summary>A short slice of the crash harness; docs/reliability.md has the long runs and their figures.</summary>
/// <remarks>Alone, after the other tests: a kill is only as random as the machine lets it be.</remarks>
[Collection(nameof(DaemonCrashTests))]
[CollectionDefinition(nameof(DaemonCrashTests), DisableParallelization = true)]
public sealed class DaemonCrashTests
{
    [Fact]
    public async Task A_daemon_killed_at_every_named_point_misses_no_morning_and_doubles_none_but_at_the_moment_of_acceptance()
    {
        IReadOnlyList<string> points = await PointRun.FindAsync();
        Assert.True(points.Count >= 70, $"{points.Count} points");
        Assert.Empty(PointTable.Known.Except(points));
        // Two chains side by side, each through every second point and through those of a first start.
        Tally[] tallies = await Task.WhenAll(new[] { 0, 1 }.Select(half => PointRun.InOneChainAsync([.. points.Where((point, at) => at % 2 == half || PointTable.IsOfFirstStart(point))])));
        Assert.All(tallies, tally => Assert.True(tally.Failed == 0 && tally.Missed.Count == 0, $"{tally}\nnot reached: {string.Join(", ", tally.Missed)}"));
        Assert.True(tallies.Sum(tally => tally.Kills) >= points.Count, string.Join('\n', tallies.AsEnumerable()));
    }

    [Fact]
    public async Task A_daemon_killed_at_sixty_random_moments_misses_no_morning_and_doubles_none_but_at_the_moment_of_acceptance()
    {
        Tally tally = await RandomKills.RunAsync(kills: 60, seed: 20270328, atOnce: 2, TimeSpan.FromMinutes(5), TestContext.Current.SendDiagnosticMessage);
        Assert.True(tally is { Failed: 0, Kills: 60 } && tally.Mornings > 60, tally.ToString());
    }

    [Theory]
    [InlineData(Spoil.ReceiptFirst)]
    [InlineData(Spoil.StartSkipped)]
    [InlineData(Spoil.SealForgotten)]
    [InlineData(Spoil.OtherBytes)]
    [InlineData(Spoil.EarlyClock)]
    public async Task A_daemon_that_is_wrong_on_purpose_is_found_out(Spoil spoil)
    {
        Tally tally = await Controls.RunAsync(spoil);
        Assert.True(Controls.IsFound(spoil, tally), tally.ToString());
    }

    [Fact]
    public async Task Through_restarts_outages_of_weather_and_mail_and_wrong_edits_each_letter_due_arrives_or_says_why_not()
    {
        // Eight days that hold two weather outages, a mail outage and a wrong edit; the whole year is a command.
        YearReport report = await YearRun.RunAsync(days: 8, TestContext.Current.SendDiagnosticMessage);
        Assert.True(report.Tally is { Failed: 0, Mornings: > 80 }, report.Tally.ToString());
    }

    [Fact]
    public async Task A_power_cut_under_the_whole_daemon_loses_no_noted_receipt()
    {
        Assert.SkipUnless(PowerCuts.IsPossible, "Needs the superuser, ext4 and loop devices.");
        Tally tally = await PowerCuts.RunAsync(images: 2, fullSync: true, seed: 11, TestContext.Current.SendDiagnosticMessage);
        Assert.True(tally.Failed == 0 && tally.Mornings > 0, tally.ToString());
    }

    [Fact]
    public async Task On_a_full_disk_sealed_letters_go_out_and_their_receipts_are_noted()
    {
        Assert.SkipUnless(PowerCuts.IsPossible, "Needs the superuser.");
        Tally tally = await FullDisks.RunAsync(trials: 2, seed: 5, TestContext.Current.SendDiagnosticMessage);
        Assert.True(tally.Failed == 0 && tally.Mornings > 0, tally.ToString());
    }
}

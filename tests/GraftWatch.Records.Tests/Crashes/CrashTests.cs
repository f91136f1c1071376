using System.Diagnostics;
using System.Globalization;
using GraftWatch.Crash;
using GraftWatch.Crash.Stores;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Testing;

namespace GraftWatch.Records.Tests.Crashes;

/// <summary>A short slice of the crash harness; <c>dotnet run --project tests/GraftWatch.Records.Crash -- hunt 2000</c> is the long one.</summary>
public sealed class CrashTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_writer_killed_at_random_moments_loses_no_acknowledged_letter_or_receipt()
    {
        CrashTally tally = await KillHunt.RunAsync(kills: 12, seed: 20270514, TestContext.Current.SendDiagnosticMessage);
        Assert.True(tally.Failed == 0, tally.ToString());
        // Three of four kills come only after a new promise, so a harness that writes nothing cannot pass.
        Assert.True(tally.Acknowledged >= 8, tally.ToString());
    }

    [Fact]
    public async Task A_process_killed_before_any_of_several_statements_of_a_migration_leaves_a_store_that_opens()
    {
        int points = Migration.Shipped("Sqlite").Sum(step => step.Statements.Count + 2);
        await using var rig = new SqliteRig();
        // Every point is tried in one process by MigrationTests; real kills are tried at a spread of them, on one file that gets further each time.
        foreach (int point in Enumerable.Range(0, 8).Select(i => i * (points - 1) / 7))
        {
            using Process child = Child.Start(_ => { }, "migrate", rig.File, point.ToString(CultureInfo.InvariantCulture));
            await child.WaitForExitAsync(Stop);
        }

        await using RecordsStore store = await rig.OpenAsync();
        Assert.True(await store.Ledger.SealAsync(Sample.Letter(), Stop));
    }

    [Fact]
    public async Task A_power_cut_loses_no_acknowledged_letter_and_weaker_syncs_would()
    {
        Assert.SkipUnless(PowerCut.IsPossible, "Needs the superuser, ext4 and loop devices.");
        CrashTally full = await CutUntilALetterWasPromisedAsync(fullSync: true);
        Assert.True(full.Failed == 0, full.ToString());
        CrashTally control = await CutUntilALetterWasPromisedAsync(fullSync: false);
        Assert.True(control.Failed > 0, "the control must lose letters, or the harness proves nothing: " + control);
    }

    [Fact]
    public async Task A_server_that_falls_under_load_loses_no_acknowledged_letter_and_the_program_goes_on()
    {
        using PostgresServer server = PostgresServer.StartOwnOrSkip();
        await using PostgresStore store = await PostgresStore.OpenAsync(server.CreateDatabase(), TimeProvider.System, Stop);
        var promised = new List<int>();
        using var enough = CancellationTokenSource.CreateLinkedTokenSource(Stop);
        Task writing = Task.Run(() => SealUntilAsync(store, promised, enough.Token), Stop);
        for (int fall = 0; fall < 3; fall++)
        {
            await WaitForAsync(promised, 30 * (fall + 1));
            server.StopAtOnce();
            server.Start();
        }

        await WaitForAsync(promised, 120);
        await enough.CancelAsync();
        await writing;
        var found = (await store.Ledger.LoadWaitingAsync(Stop)).Select(entry => entry.Letter.Number).ToHashSet();
        Assert.All(promised, number => Assert.Contains(number, found));
        Assert.Equal(Enumerable.Range(1, found.Count), found.Order());
    }

    // A busy machine may not write a letter before the cut, which then proves nothing: the cut comes later, and in the end that is a failure.
    private static async Task<CrashTally> CutUntilALetterWasPromisedAsync(bool fullSync)
    {
        CrashTally tally = await PowerCut.RunAsync(images: 2, fullSync, seed: 7, TestContext.Current.SendDiagnosticMessage);
        foreach (int patience in new[] { 4, 10 })
        {
            if (tally.Acknowledged > 0)
            {
                break;
            }

            tally = await PowerCut.RunAsync(images: 2, fullSync, seed: 7, TestContext.Current.SendDiagnosticMessage, patience);
        }

        Assert.True(tally.Acknowledged > 0, "no letter was promised before the cut, even after the longest wait: " + tally);
        return tally;
    }

    private static async Task SealUntilAsync(PostgresStore store, List<int> promised, CancellationToken stop)
    {
        while (!stop.IsCancellationRequested)
        {
            try
            {
                int number = await store.Ledger.NextNumberAsync(Sample.Grower, CancellationToken.None);
                if (await store.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(number)), number), CancellationToken.None))
                {
                    lock (promised)
                    {
                        promised.Add(number);
                    }
                }
            }
            catch (System.Data.Common.DbException)
            {
                // What the commit did is not known; the next number tells.
                await Task.Delay(20, CancellationToken.None);
            }
        }
    }

    private static async Task WaitForAsync(List<int> promised, int count)
    {
        var patience = Stopwatch.StartNew();
        while (true)
        {
            lock (promised)
            {
                if (promised.Count >= count)
                {
                    return;
                }
            }

            Assert.True(patience.Elapsed < TimeSpan.FromMinutes(2), $"only {promised.Count} of {count} letters were sealed");
            await Task.Delay(10, Stop);
        }
    }
}

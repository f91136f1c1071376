using GraftWatch.Rounds.Ports;
using GraftWatch.Serving.Clocks;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>Clocks that are wrong at the start and clocks that jump while the daemon runs: nothing early, nothing twice, and the reason is told.</summary>
public sealed class ClockTests
{
    private const string BeforeTheLetter = "2026-05-12T03:10:00Z";

    [Theory]
    [InlineData("1970-01-01T00:00:20Z", "before this program was made")]
    [InlineData("2000-01-01T04:00:00Z", "before this program was made")]
    public async Task A_clock_that_stands_before_this_program_was_made_sends_nothing_and_is_told(string start, string words)
    {
        await using ServeHarness serve = ServeHarness.Prepare(start);
        await serve.StartAsync();
        await serve.PassAsync(60 * 7);
        Assert.Empty(serve.Mail.Received);
        Assert.Contains(serve.Report.Troubles, trouble => trouble.Contains(words, StringComparison.Ordinal));
        Assert.Single(serve.LogLines, line => line.Contains("ClockDoubted", StringComparison.Ordinal));

        // The time service comes at last, shortly before the letter hour.
        serve.SetClock(Instant.FromUtc(2026, 5, 12, 3, 25) - serve.Now);
        await serve.PassAsync(1);
        await serve.AdvanceAsync(8);
        await serve.LetterAsync(1);
        Assert.Empty(serve.Report.Troubles);
    }

    [Theory]
    [InlineData(-2)]
    [InlineData(-30 * 24)]
    public async Task A_clock_set_back_to_before_what_is_noted_holds_letters_until_it_is_right_again(int hours)
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(22);
        await serve.LetterAsync(1);
        serve.Witness.Verdict = ClockVerdict.Wrong;
        serve.SetClock(Duration.FromHours(hours));
        await serve.PassAsync(45);
        Assert.Contains(serve.Report.Troubles, trouble => trouble.Contains("already noted", StringComparison.Ordinal));
        Assert.Single(serve.Mail.Received);

        serve.SetClock(-Duration.FromHours(hours));
        await serve.PassAsync(1);
        Assert.DoesNotContain(serve.Report.Troubles, trouble => trouble.Contains("clock", StringComparison.Ordinal));
        await serve.AdvanceAsync(10);
        Assert.Single(serve.Mail.Received);
    }

    [Fact]
    public async Task A_clock_that_was_wrong_and_is_set_back_by_a_time_service_goes_on_at_once_and_sends_nothing_twice()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(22);
        await serve.LetterAsync(1);
        serve.SetClock(-Duration.FromHours(1));
        await serve.PassAsync(1);
        Assert.Contains(serve.LogLines, line => line.Contains("ClockTrusted", StringComparison.Ordinal));
        Assert.Empty(serve.Report.Troubles);

        // The letter hour comes a second time.
        await serve.AdvanceAsync(70);
        Assert.Single(serve.Mail.Received);
        Assert.True(serve.Report.LastLook > serve.Now - Duration.FromMinutes(2), "No look was completed after the clock was set back.");
    }

    [Fact]
    public async Task A_clock_that_leaps_a_month_ahead_sends_nothing_while_a_witness_denies_it_and_the_right_letter_comes_at_its_hour()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(2);
        serve.Witness.Verdict = ClockVerdict.Wrong;
        serve.SetClock(Duration.FromDays(30) + Duration.FromHours(1));
        await serve.PassAsync(10);
        Assert.Empty(serve.Mail.Received);
        Assert.Contains(serve.Report.Troubles, trouble => trouble.Contains("far ahead", StringComparison.Ordinal));

        serve.SetClock(-Duration.FromDays(30) - Duration.FromHours(1));
        await serve.PassAsync(1);
        await serve.AdvanceAsync(12);
        Assert.Contains("Tue 12 May", (await serve.LetterAsync(1)).Parse().Subject, StringComparison.Ordinal);
        Assert.Single(serve.Mail.Received);
    }

    [Fact]
    public async Task Where_nobody_can_be_asked_a_clock_that_is_ahead_is_believed_after_half_an_hour()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(2);
        serve.Witness.Verdict = ClockVerdict.NoAnswer;
        serve.SetClock(Duration.FromDays(3) + Duration.FromHours(1));
        await serve.PassAsync(25);
        Assert.Empty(serve.Mail.Received);
        await serve.PassAsync(7);
        await serve.AdvanceAsync(3);
        Assert.Contains("Fri 15 May", (await serve.LetterAsync(1)).Parse().Subject, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_start_in_the_far_future_holds_everything_and_throws_nothing_away()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(22);
        await serve.LetterAsync(1);
        await serve.StopAsync();

        serve.Witness.Verdict = ClockVerdict.Wrong;
        Duration leap = Duration.FromDays(3653);
        serve.SetClock(leap);
        await serve.StartAsync();
        await serve.PassAsync(90);
        Assert.Single(serve.Mail.Received);
        Assert.Equal(LetterState.Accepted, (await serve.EntryAsync("2026-05-12"))?.State);

        serve.SetClock(-leap);
        await serve.PassAsync(1);
        await serve.AdvanceAsync(5);
        Assert.Empty(serve.Report.Troubles);
        Assert.Single(serve.Mail.Received);
    }

    [Fact]
    public async Task A_machine_that_was_off_for_a_week_and_whose_clock_is_confirmed_sends_the_letter_of_that_day()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(22);
        await serve.LetterAsync(1);
        await serve.StopAsync();
        serve.Clock.Advance(TimeSpan.FromDays(7));
        await serve.StartAsync();
        await serve.AdvanceAsync(35);
        Assert.Contains("Tue 19 May", (await serve.LetterAsync(2)).Parse().Subject, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_loop_that_is_dead_ends_the_program_as_a_failure()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(2);
        await serve.KillLoopAsync("morning");
        await serve.PassAsync(25);
        await serve.WaitAsync(() => serve.HasStopped, "the end of the program");
        Assert.True(serve.IsStuck);
        Assert.Contains(serve.LogLines, line => line.Contains("Stuck", StringComparison.Ordinal));
    }
}

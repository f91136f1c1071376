using GraftWatch.Checks;
using GraftWatch.CommandLine;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing.Mail;
using MimeKit;

namespace GraftWatch.EndToEnd.Tests.Serving;

public sealed class ServeTests
{
    // 05:10 in Berlin on the day of the demonstration; the letter hour is 05:30.
    private const string BeforeTheLetter = "2026-05-12T03:10:00Z";

    [Fact]
    public async Task The_letter_arrives_at_the_morning_hour_and_only_once()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(19);
        Assert.Empty(serve.Mail.Received);

        await serve.AdvanceAsync(3);
        ReceivedLetter letter = await serve.LetterAsync(1);
        Assert.Equal(["mara@sorrelbank.example"], letter.Recipients);
        MimeMessage message = letter.Parse();
        Assert.Equal("2026-05-12 05:3", message.Date.ToString("yyyy-MM-dd HH:m", System.Globalization.CultureInfo.InvariantCulture)[..15]);
        Assert.Contains("Tue 12 May", message.Subject, StringComparison.Ordinal);

        await serve.AdvanceAsync(60);
        Assert.Single(serve.Mail.Received);
        Assert.Equal(LetterState.Accepted, (await serve.EntryAsync("2026-05-12"))!.State);
    }

    [Fact]
    public async Task A_restart_sends_no_second_letter_and_the_next_morning_has_its_own()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(22);
        await serve.LetterAsync(1);

        await serve.StopAsync();
        await serve.StartAsync();
        await serve.AdvanceAsync(10);
        Assert.Single(serve.Mail.Received);

        await serve.StopAsync();
        serve.Clock.Advance(TimeSpan.FromHours(23.5));
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        ReceivedLetter second = await serve.LetterAsync(2);
        Assert.Contains("Wed 13 May", second.Parse().Subject, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_machine_that_slept_over_the_hour_sends_the_letter_once_when_it_wakes()
    {
        await using ServeHarness serve = ServeHarness.Prepare("2026-05-12T07:45:00Z");
        await serve.StartAsync();
        await serve.AdvanceAsync(2);
        await serve.LetterAsync(1);
        await serve.AdvanceAsync(30);
        Assert.Single(serve.Mail.Received);
        Assert.Contains(serve.LogLines, line => line.Contains("LateLetter", StringComparison.Ordinal));
    }

    [Fact]
    public async Task After_the_too_late_hour_the_missed_letter_is_told_and_not_sent()
    {
        await using ServeHarness serve = ServeHarness.Prepare("2026-05-12T14:05:00Z");
        await serve.StartAsync();
        await serve.AdvanceAsync(5);
        Assert.Empty(serve.Mail.Received);
        Assert.Null(await serve.EntryAsync("2026-05-12"));
        Assert.Contains("not made in time", Assert.Single(serve.Report.Troubles), StringComparison.Ordinal);
        Assert.Single(serve.LogLines, line => line.Contains("MorningMissed", StringComparison.Ordinal));
    }

    [Fact]
    public async Task While_the_forecast_is_away_the_letter_waits_half_an_hour_and_then_says_what_it_could_not_check()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WeatherFails();
        await serve.StartAsync();
        await serve.AdvanceAsync(45);
        Assert.Empty(serve.Mail.Received);
        Assert.Contains(serve.Report.Troubles, trouble => trouble.StartsWith("no weather for Sorrel Bank", StringComparison.Ordinal));

        await serve.AdvanceAsync(10);
        ReceivedLetter letter = await serve.LetterAsync(1);
        Assert.Contains("not checked", letter.Parse().TextBody, StringComparison.OrdinalIgnoreCase);
        Assert.Contains(serve.LogLines, line => line.Contains("NotChecked", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_forecast_of_last_evening_carries_the_letter_when_the_source_is_away_and_its_age_is_said()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(1);
        serve.WeatherFails();
        await serve.AdvanceAsync(22);
        ReceivedLetter letter = await serve.LetterAsync(1);
        Assert.Contains("No new forecast could be had", letter.Parse().TextBody!.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public async Task While_the_mail_server_is_away_the_same_bytes_are_kept_and_handed_over_later()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(LoopbackMailServer.FreePort());
        await serve.StartAsync();
        await serve.AdvanceAsync(40);
        LedgerEntry waiting = (await serve.EntryAsync("2026-05-12"))!;
        Assert.Equal(LetterState.Waiting, waiting.State);
        Assert.InRange(waiting.Tries, 3, 6);
        Assert.Contains("1 letter waits for the mail server", serve.Report.Troubles);

        await serve.StopAsync();
        serve.WriteSettings(serve.Mail.Port);
        await serve.StartAsync();
        await serve.AdvanceAsync(31);
        ReceivedLetter letter = await serve.LetterAsync(1);
        Assert.Equal(waiting.Letter.MessageId, letter.Parse().MessageId);
        Assert.True(waiting.Letter.Bytes.Span.SequenceEqual(letter.Bytes));
    }

    [Fact]
    public async Task A_forecast_that_was_kept_before_a_restart_carries_the_letter_too()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(1);
        await serve.StopAsync();
        serve.WeatherFails();
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        ReceivedLetter letter = await serve.LetterAsync(1);
        Assert.Contains("No new forecast could be had", letter.Parse().TextBody!.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_letter_that_never_got_through_is_told_in_the_next_one()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(LoopbackMailServer.FreePort());
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        await serve.StopAsync();
        serve.Clock.Advance(TimeSpan.FromHours(11));
        await serve.StartAsync();
        await serve.AdvanceAsync(2);
        Assert.Equal(LetterState.GivenUp, (await serve.EntryAsync("2026-05-12"))!.State);

        await serve.StopAsync();
        serve.WriteSettings(serve.Mail.Port);
        serve.Clock.Advance(TimeSpan.FromHours(13));
        await serve.StartAsync();
        await serve.AdvanceAsync(5);
        ReceivedLetter letter = await serve.LetterAsync(1);
        Assert.Contains("Yesterday's letter (No. 1) did not reach you", letter.Parse().TextBody!.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_bad_edit_of_the_settings_is_refused_whole_and_the_letter_still_goes()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        serve.WriteBrokenSettings();
        await serve.AdvanceAsync(22);
        ReceivedLetter letter = await serve.LetterAsync(1);
        Assert.Contains("An edit of the settings was refused", letter.Parse().TextBody!.ReplaceLineEndings(" "), StringComparison.Ordinal);
        Assert.Contains(serve.Report.Troubles, trouble => trouble.StartsWith("an edit of the settings was refused", StringComparison.Ordinal));
    }

    [Fact]
    public async Task An_edit_that_waits_for_a_restart_is_told_once_by_the_log_by_ready_and_by_check_until_it_is_put_back()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync(listen: true);
        using var http = new HttpClient();
        var ready = new Uri(serve.Watch, "/ready");
        string file = Path.Combine(serve.Folder, "graftwatch.toml");
        string before = await File.ReadAllTextAsync(file, TestContext.Current.CancellationToken);
        await File.WriteAllTextAsync(file, before.Replace("host = \"127.0.0.1\"", "host = \"mail.sorrelbank.example\"", StringComparison.Ordinal), TestContext.Current.CancellationToken);
        await serve.AdvanceAsync(3);
        Assert.Matches(@"mail\.host was changed at line \d+ of .*graftwatch\.toml; restart graftwatch to use it", await (await http.GetAsync(ready, TestContext.Current.CancellationToken)).Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
        Assert.Single(serve.LogLines, line => line.Contains("wait for a restart", StringComparison.Ordinal));

        CheckScope scope = new(Terminal.OfProcess(), serve.Folder, new CheckSurroundings { Watch = serve.Watch });
        List<CheckLine> lines = [];
        await foreach (CheckLine line in new SettingsCheck().RunAsync(scope, TestContext.Current.CancellationToken))
        {
            lines.Add(line);
        }

        Assert.Contains(lines, line => line.Verdict == CheckVerdict.Look && line.What.Contains("mail.host was changed", StringComparison.Ordinal));
        await File.WriteAllTextAsync(file, before, TestContext.Current.CancellationToken);
        await serve.AdvanceAsync(3);
        Assert.DoesNotContain("restart", await (await http.GetAsync(ready, TestContext.Current.CancellationToken)).Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("0.0.0.0:0", 1)]
    [InlineData("[::]:0", 1)]
    [InlineData("127.0.0.1:0", 0)]
    public async Task Pages_that_let_other_machines_in_and_have_no_public_address_are_warned_of_once_at_the_start(string listen, int warnings)
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync(listen: true, at: listen);
        Assert.Equal(warnings, serve.LogLines.Count(line => line.Contains("NoPublicAddress", StringComparison.Ordinal) || line.Contains("Set page.public_address", StringComparison.Ordinal)));
    }

    // The clock stands still here: the look at the edit waits for it for ever, and the program must not wait for the look.
    [Fact]
    public async Task A_stop_does_not_wait_for_an_edit_under_way()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        serve.WriteBrokenSettings();
        await serve.AdvanceAsync(0.5);
        await serve.StopAsync().WaitAsync(GraftWatchCommand.LongestStop / 2, TestContext.Current.CancellationToken);
    }

    [Fact]
    public async Task A_broken_register_does_not_cost_the_letter_which_rests_on_the_one_before_and_says_so()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(1);
        serve.WriteBrokenRegister();
        await serve.AdvanceAsync(22);
        ReceivedLetter letter = await serve.LetterAsync(1);
        string text = letter.Parse().TextBody!.ReplaceLineEndings(" ");
        Assert.Contains("Your register has faults and is not used", text, StringComparison.Ordinal);
        Assert.Contains("A1-01", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_edit_of_the_settings_is_in_force_at_the_next_letter()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        serve.WriteSettings(serve.Mail.Port, units: "us");
        await serve.AdvanceAsync(22);
        ReceivedLetter letter = await serve.LetterAsync(1);
        Assert.Contains("°F", letter.Parse().TextBody, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_stop_while_weather_is_being_fetched_is_no_error()
    {
        await using ServeHarness serve = ServeHarness.Prepare("2026-05-12T12:00:00Z");
        await serve.StartAsync();
        var asked = new TaskCompletionSource();
        var release = new TaskCompletionSource();
        serve.WeatherHangs(() => asked.TrySetResult(), release.Task);
        serve.Clock.Advance(TimeSpan.FromHours(3));
        await serve.WaitAsync(() => asked.Task.IsCompleted, "the next asking for weather");

        Task stop = Task.Run(serve.StopAsync, TestContext.Current.CancellationToken);
        await serve.WaitAsync(() => serve.IsEnding, "the end that waits for the fetching");
        release.SetResult();
        await stop;
        Assert.DoesNotContain(serve.LogLines, line => line.Contains("WeatherJobFailed", StringComparison.Ordinal));
    }
}

using System.Globalization;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Serving.Clocks;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Commands;

/// <summary><c>round --send</c>: what it says of a letter and how it ends, by how the letter stands.</summary>
public sealed class SendCommandTests : IDisposable
{
    private static readonly string Demo = Repository.PathOf("src", "GraftWatch", "Demo");
    private readonly CommandRun run = new();
    private readonly int port = LoopbackMailServer.FreePort();

    public SendCommandTests()
    {
        File.Copy(Path.Combine(Demo, "register.csv"), Path.Combine(run.Folder, "register.csv"));
        Directory.CreateDirectory(Path.Combine(run.Folder, "config"));
        Write("register = \"../register.csv\"");
        run.Clock.AdjustTime(new DateTimeOffset(2026, 5, 12, 4, 0, 0, TimeSpan.Zero));
    }

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task A_letter_is_sent_once_and_the_second_time_it_is_said_that_it_was()
    {
        await using LoopbackMailServer mail = LoopbackMailServer.Start(new LoopbackMailOptions { Port = port });
        Assert.Equal(0, await SendAsync());
        Assert.Contains("Sent to mara@sorrelbank.example: ", run.Messages, StringComparison.Ordinal);
        Assert.Equal(0, await SendAsync());
        Assert.Contains("The letter of 2026-05-12 to mara@sorrelbank.example was sent already (", run.Messages, StringComparison.Ordinal);
        Assert.Single(mail.Received);
    }

    [Fact]
    public async Task A_letter_refused_for_now_after_its_final_dot_is_kept_and_sent_again_byte_for_byte_without_waiting_for_its_pause()
    {
        byte[] first;
        await using (LoopbackMailServer refusing = LoopbackMailServer.Start(new LoopbackMailOptions { Port = port, RefuseText = (451, "4.3.0 come back later") }))
        {
            Assert.Equal(1, await SendAsync());
            Assert.Contains("come back later", run.Messages, StringComparison.Ordinal);
            Assert.Contains("The letter is kept", run.Messages, StringComparison.Ordinal);
            first = Assert.Single(refusing.Refused);
        }

        await using LoopbackMailServer mail = LoopbackMailServer.Start(new LoopbackMailOptions { Port = port });
        Assert.Equal(0, await SendAsync());
        Assert.Single(mail.Received);
        LedgerEntry entry = await EntryAsync();
        Assert.Equal((LetterState.Accepted, 2), (entry.State, entry.Tries));
        Assert.Equal(first, mail.Received.Single().Bytes);
        Assert.Equal(entry.Letter.Bytes.ToArray(), first);
    }

    [Fact]
    public async Task A_letter_in_the_hands_of_another_program_is_left_there_and_that_is_said()
    {
        Assert.Equal(1, await SendAsync());
        await using LoopbackMailServer mail = LoopbackMailServer.Start(new LoopbackMailOptions { Port = port });
        await using (SqliteStore store = await OpenAsync())
        {
            ClaimedLetter held = Assert.Single(await store.Claims.ClaimAsync("elsewhere/1", new ClaimWish(1) { Occasion = Slot }, Duration.FromMinutes(5), Now, TestContext.Current.CancellationToken));
            Assert.Equal(3, await SendAsync());
            Assert.Contains("is in the hands of another program", run.Messages, StringComparison.Ordinal);
            await store.Claims.LetGoAsync([held], TestContext.Current.CancellationToken);
        }

        Assert.Empty(mail.Received);
        Assert.Equal(0, await SendAsync());
        Assert.Single(mail.Received);
    }

    [Fact]
    public async Task A_letter_that_lost_its_use_is_not_sent_and_that_is_said()
    {
        Assert.Equal(1, await SendAsync());
        await using LoopbackMailServer mail = LoopbackMailServer.Start(new LoopbackMailOptions { Port = port });
        run.Clock.Advance(TimeSpan.FromHours(20));
        Assert.Equal(1, await SendAsync());
        Assert.Contains("has lost its use", run.Messages, StringComparison.Ordinal);
        Assert.Empty(mail.Received);
    }

    [Fact]
    public async Task To_a_grower_whose_letters_are_stopped_nothing_is_sent_and_that_is_said()
    {
        await using LoopbackMailServer mail = LoopbackMailServer.Start(new LoopbackMailOptions { Port = port });
        await using (SqliteStore store = await OpenAsync())
        {
            await store.Stops.StopAsync("Mara", StoppedBy.Operator, Now, TestContext.Current.CancellationToken);
        }

        Assert.Equal(1, await SendAsync());
        Assert.Contains("letters to Mara are stopped", run.Messages, StringComparison.Ordinal);
        Assert.Empty(mail.Received);
    }

    // As the daemon holds its letters: a clock set back, and one that leapt while nobody can say whether it is right.
    [Theory]
    [InlineData(-3, true, "is already noted (the test says so)")]
    [InlineData(-3, false, "is already noted (the test says so)")]
    [InlineData(30, false, "far ahead of 2026-05-12")]
    public async Task By_a_clock_in_doubt_nothing_is_sealed_or_sent_and_that_is_said(int hours, bool isDenied, string words)
    {
        Assert.Equal(1, await SendAsync("2026-05-13"));
        await using LoopbackMailServer mail = LoopbackMailServer.Start(new LoopbackMailOptions { Port = port });
        run.Clock.AdjustTime(run.Clock.GetUtcNow().AddHours(hours));
        run.Witness = new Serving.ServeHarness.SaidOfClock { Verdict = isDenied ? ClockVerdict.Wrong : ClockVerdict.NoAnswer };
        Assert.Equal(1, await SendAsync());
        Assert.Contains("Nothing is sent. The clock is not to be trusted: it says 2026-05-1", run.Messages, StringComparison.Ordinal);
        Assert.Contains(words, run.Messages, StringComparison.Ordinal);
        Assert.Empty(mail.Received);
        await using (SqliteStore store = await OpenAsync())
        {
            Assert.Null(await store.Ledger.FindAsync(Slot, TestContext.Current.CancellationToken));
        }

        run.Witness = new Serving.ServeHarness.SaidOfClock();
        Assert.Equal(0, await SendAsync());
        Assert.Single(mail.Received);
    }

    [Fact]
    public async Task A_letter_that_goes_by_several_channels_is_sealed_for_all_of_them()
    {
        using var phone = WireMock.Server.WireMockServer.Start();
        phone.Given(WireMock.RequestBuilders.Request.Create().UsingPost()).RespondWith(WireMock.ResponseBuilders.Response.Create().WithStatusCode(200));
        Write("register = \"../register.csv\"\nmorning = [\"mail\", \"phone\"]", $"""
            [[channel]]
            name = "phone"
            kind = "text-post"
            address = "{phone.Urls[0]}/garden"
            inside = true
            """);
        await using LoopbackMailServer mail = LoopbackMailServer.Start(new LoopbackMailOptions { Port = port });
        Assert.True(await SendAsync() == 0, run.Messages);
        Assert.Contains("Sent to Mara by phone: ", run.Messages, StringComparison.Ordinal);
        Assert.Single(mail.Received);
        Assert.Single(phone.LogEntries);
    }

    private static LetterSlot Slot => new("Mara", new LocalDate(2026, 5, 12), LetterKind.Morning);

    private Instant Now => Instant.FromDateTimeOffset(run.Clock.GetUtcNow());

    private Task<int> SendAsync(string date = "2026-05-12") => run.RunAsync("round", "--weather", Path.Combine(Demo, "weather.json"), "--date", date, "--send");

    private async Task<LedgerEntry> EntryAsync()
    {
        await using SqliteStore store = await OpenAsync();
        return (await store.Ledger.FindAsync(Slot, TestContext.Current.CancellationToken))!;
    }

    private Task<SqliteStore> OpenAsync()
    {
        SettingsInForce settings = SettingsInForce.Load(Path.Combine(run.Folder, "config"), out _)!;
        Directory.CreateDirectory(settings.Current.Installation.DataFolder);
        return SqliteStore.OpenAsync(ServeSettings.StorePath(settings.Current.Installation), new SqliteStoreOptions { Clock = run.Clock }, TestContext.Current.CancellationToken);
    }

    private void Write(string grower, string channels = "") => run.Write("config/graftwatch.toml", string.Create(CultureInfo.InvariantCulture, $"""
        [[place]]
        name = "Sorrel Bank"
        latitude = 48.02
        longitude = 9.06
        elevation = "465 m"
        zone = "Europe/Berlin"

        [[grower]]
        name = "Mara"
        address = "mara@sorrelbank.example"
        {grower}

        {channels}

        [mail]
        host = "127.0.0.1"
        port = {port}
        security = "plain"
        from = "graftwatch@sorrelbank.example"
        """));
}

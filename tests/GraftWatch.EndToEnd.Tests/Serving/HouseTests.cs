using GraftWatch.Aftercare.Advising;
using GraftWatch.Records;
using GraftWatch.Records.Inspection;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.EndToEnd.Tests.Serving;

public sealed class HouseTests
{
    private static readonly DateTimeZone Berlin = DateTimeZoneProviders.Tzdb["Europe/Berlin"];

    [Theory]
    [InlineData("2026-05-11T23:59:00Z", "2026-05-11", "2026-05-11T00:00:00Z")]
    [InlineData("2026-05-12T00:00:00Z", "2026-05-12", "2026-05-12T00:00:00Z")]
    [InlineData("2027-03-28T00:59:59Z", "2027-03-27", "2027-03-27T01:00:00Z")] // the night of the spring change: two o'clock is three
    [InlineData("2027-03-28T01:00:00Z", "2027-03-28", "2027-03-28T01:00:00Z")]
    [InlineData("2027-10-31T00:30:00Z", "2027-10-31", "2027-10-31T00:00:00Z")] // the night of the autumn change has two o'clock twice and counts once
    [InlineData("2027-10-31T01:30:00Z", "2027-10-31", "2027-10-31T00:00:00Z")]
    public void A_night_begins_at_two_local_time_once_a_date(string now, string night, string due)
    {
        Assert.Equal(LocalDatePattern.Iso.Parse(night).Value, HouseJob.NightOf(At(now), Berlin, out Instant begins));
        Assert.Equal(At(due), begins);
    }

    [Theory]
    [InlineData("2026-05-12T02:29:00Z", true)]
    [InlineData("2026-05-12T02:31:00Z", false)] // the letter hour, 05:30, is less than an hour away
    [InlineData("2026-05-12T03:59:00Z", false)]
    [InlineData("2026-05-12T04:01:00Z", true)]
    public void Letters_have_an_hour_of_quiet_before_and_half_an_hour_after(string now, bool quiet) =>
        Assert.Equal(quiet, HouseJob.IsQuiet([new Grower("Mara", "mara@sorrelbank.example", Berlin, new LocalTime(5, 30), UnitSystem.Metric, ["Sorrel Bank"])], At(now)));

    [Fact]
    public async Task The_store_is_kept_once_a_night_and_not_near_the_letter()
    {
        await using ServeHarness serve = ServeHarness.Prepare("2026-05-12T03:10:00Z");
        await serve.StartAsync();
        await serve.AdvanceAsync(45);
        Assert.DoesNotContain(serve.LogLines, Copied);

        await serve.AdvanceAsync(90);
        await serve.WaitAsync(() => serve.LogLines.Any(Copied), "the copy of the night");
        Assert.Contains("graftwatch-2026-05-12.db", serve.LogLines.Single(Copied), StringComparison.Ordinal);

        // Neither hours nor a restart bring a second copy of the same night.
        await serve.AdvanceAsync(120);
        await serve.StopAsync();
        await serve.StartAsync();
        await serve.AdvanceAsync(65);
        Assert.Single(serve.LogLines, Copied);
    }

    [Theory]
    [InlineData(0, 0, 64L << 20)]
    [InlineData(20L << 20, 10L << 20, 64L << 20)]
    [InlineData(60L << 20, 20L << 20, 150L << 20)]
    public void A_day_needs_half_as_much_again_as_it_takes_and_never_less_than_64_MiB(long storeBytes, long letterBytes, long needed) =>
        Assert.Equal(needed, DiskRoom.Needed(storeBytes, letterBytes));

    [Fact]
    public void Too_little_room_is_a_sentence_and_enough_is_none()
    {
        Assert.Null(new DiskRoom(65L << 20, 64L << 20).Trouble("/var/lib/graftwatch"));
        Assert.Equal("the disk of /var/lib/graftwatch has 12 MiB left and a day may need 64 MiB: free some, or letters will stop", new DiskRoom(12L << 20, 64L << 20).Trouble("/var/lib/graftwatch"));
    }

    [Fact]
    public async Task The_check_and_the_daemon_need_the_same_room_for_the_same_store()
    {
        await using ServeHarness serve = ServeHarness.Prepare("2026-05-12T03:00:00Z");
        await serve.StartAsync();
        await serve.AdvanceAsync(40);
        await serve.LetterAsync(1);
        long letters = await serve.Store.Figures.LoadBytesSinceAsync(serve.Now - Duration.FromDays(1), TestContext.Current.CancellationToken);
        StoreFindings found = await StoreInspection.LookAsync(((SqliteStore)serve.Store).Path, DiskFacts.OfSystem, TestContext.Current.CancellationToken);
        Assert.True(letters > 1000, $"{letters} bytes of letters");
        Assert.Equal(letters, found.LetterBytesADay);
    }

    [Theory]
    [InlineData(900, "0 KiB")]
    [InlineData(5L << 10, "5 KiB")]
    [InlineData(12L << 20, "12 MiB")]
    [InlineData(3L << 29, "1.5 GiB")]
    public void A_size_is_said_in_the_unit_that_fits(long bytes, string words) => Assert.Equal(words, DiskRoom.Size(bytes));

    private static bool Copied(string line) => line.Contains("BackedUp", StringComparison.Ordinal);

    private static Instant At(string text) => InstantPattern.General.Parse(text).Value;
}

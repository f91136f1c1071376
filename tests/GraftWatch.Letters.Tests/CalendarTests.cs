using System.Text;
using CsCheck;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Calendar;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using Ical.Net.CalendarComponents;
using MimeKit;
using NodaTime;
using IcalCalendar = Ical.Net.Calendar;

namespace GraftWatch.Letters.Tests;

/// <summary>The calendar part against an independent reader (Ical.Net) and RFC 5545.</summary>
public class CalendarTests
{
    private const string Domain = "orchard.example";

    private static readonly MailOptions Mail = new() { From = "letters@orchard.example" };

    [Fact]
    public void Work_with_an_end_becomes_events_that_another_reader_understands()
    {
        string text = CalendarWriter.Part(CalendarTasks.Of(Some.Round(), Domain, 12), Mail.From);

        IcalCalendar calendar = Load(text);

        Approved.Text("work-ics", text);
        Assert.Equal("PUBLISH", calendar.Method);
        Assert.Equal(3, calendar.Events.Count);
        CalendarEvent shade = calendar.Events.Single(e => e.Summary == "Shade 7 unions");
        Assert.Equal(12, shade.Sequence);
        Assert.Equal(Some.Local(11).ToDateTimeUtc(), shade.DtEnd!.AsUtc);
        Assert.Equal(Some.Local(10, 32).ToDateTimeUtc(), shade.DtStart!.AsUtc);
        Assert.Equal("Larkhollow, Block B, row 2", shade.Location);
        CalendarEvent slit = calendar.Events.Single(e => e.Summary == "Slit 5 ties");
        Assert.True(slit.IsAllDay);
        Assert.Equal(new DateOnly(2026, 5, 17), slit.DtStart!.Date);
        Assert.Equal(new DateOnly(2026, 5, 18), slit.DtEnd!.Date); // RFC 5545, 3.6.1: DTEND is exclusive
    }

    [Fact]
    public void Identifiers_stay_and_the_sequence_grows_only_with_a_change()
    {
        IReadOnlyList<CalendarTask> first = CalendarTasks.Follow([], CalendarTasks.Of(Some.Round(), Domain, 12), 12, Some.Morning);
        Round later = Some.Round() with { Now = Some.Local(6, 0, 1), Advice = [Some.Stake() with { DoBy = Some.Local(20, 0, 1), DoFrom = Some.Local(9, 0, 1) }, Some.SlitTies()] };

        IReadOnlyList<CalendarTask> second = CalendarTasks.Follow(first, CalendarTasks.Of(later, Domain, 13), 13, later.Now);

        CalendarTask Of(IReadOnlyList<CalendarTask> tasks, string start) => tasks.Single(t => t.Summary.StartsWith(start, StringComparison.Ordinal));
        Assert.Equal(Of(first, "Stake").Uid, Of(second, "Stake").Uid);
        Assert.Equal(13, Of(second, "Stake").Sequence);
        Assert.Equal(Of(first, "Slit"), Of(second, "Slit"));
        Assert.True(Of(second, "Shade").IsCancelled);
        Assert.Equal(13, Of(second, "Shade").Sequence);
        CalendarEvent gone = Load(CalendarWriter.Part(second, Mail.From)).Events.Single(e => e.Summary == "Shade 7 unions");
        Assert.Equal("CANCELLED", gone.Status);
    }

    [Fact]
    public void Cancelled_work_is_repeated_for_ninety_days_and_then_forgotten()
    {
        IReadOnlyList<CalendarTask> first = CalendarTasks.Of(Some.Round(), Domain, 1);
        IReadOnlyList<CalendarTask> cancelled = CalendarTasks.Follow(first, [], 2, Some.Morning);

        Assert.Equal(cancelled, CalendarTasks.Follow(cancelled, [], 3, Some.Morning + Duration.FromDays(89)));
        Assert.Empty(CalendarTasks.Follow(cancelled, [], 4, Some.Morning + Duration.FromDays(90)));
    }

    [Fact]
    public void Work_that_comes_back_is_confirmed_again_with_a_higher_sequence()
    {
        IReadOnlyList<CalendarTask> first = CalendarTasks.Of(Some.Round(), Domain, 1);
        IReadOnlyList<CalendarTask> cancelled = CalendarTasks.Follow(first, [], 2, Some.Morning);

        IReadOnlyList<CalendarTask> back = CalendarTasks.Follow(cancelled, CalendarTasks.Of(Some.Round(), Domain, 3), 3, Some.Morning);

        Assert.All(back, t => Assert.False(t.IsCancelled));
        Assert.All(back, t => Assert.Equal(3, t.Sequence));
    }

    [Fact]
    public void The_next_letter_carries_on_from_the_bytes_of_the_one_before()
    {
        var composer = new LetterComposer(Mail);
        SealedLetter first = composer.Compose(Some.Round(), Some.Grower(), new LetterRequest { Number = 12, Now = Some.Morning });
        Round done = Some.Round() with { Date = Some.Day.PlusDays(1), Now = Some.Local(6, 0, 1), Advice = [Some.SlitTies()] };

        SealedLetter second = composer.Compose(done, Some.Grower(), new LetterRequest { Number = 13, Now = done.Now, Previous = first });

        using var message = MimeMessage.Load(new MemoryStream(second.Bytes.ToArray()));
        var part = (TextPart)message.BodyParts.Single(p => p.ContentType.MimeType == "text/calendar");
        Assert.Equal("PUBLISH", part.ContentType.Parameters["method"]);
        IcalCalendar calendar = Load(part.Text);
        Assert.Equal(2, calendar.Events.Count(e => e.Status == "CANCELLED"));
        Assert.Equal(12, calendar.Events.Single(e => e.Status == "CONFIRMED").Sequence);
    }

    [Fact]
    public void A_letter_without_dated_work_has_no_calendar_part()
    {
        SealedLetter letter = new LetterComposer(Mail).Compose(Some.QuietRound(), Some.Grower(), 1, Some.Morning);

        Assert.DoesNotContain("text/calendar", Encoding.Latin1.GetString(letter.Bytes.Span), StringComparison.Ordinal);
        Assert.Empty(CalendarReader.Of(letter));
    }

    [Fact]
    public void A_feed_names_itself_and_is_the_same_when_fetched_twice()
    {
        IReadOnlyList<CalendarTask> tasks = CalendarTasks.Of(Some.Round(), Domain, 12);

        Assert.Equal(CalendarWriter.Feed(tasks, "Work at Larkhollow"), CalendarWriter.Feed(tasks, "Work at Larkhollow"));
        Assert.Equal("Work at Larkhollow", Load(CalendarWriter.Feed(tasks, "Work at Larkhollow")).Properties["NAME"]!.Value);
    }

    [Fact]
    public void Any_words_survive_folding_and_escaping_and_no_line_is_longer_than_75_octets() =>
        Gen.Select(Gen.String[0, 200], Gen.String[Gen.OneOfConst('ä', '果', ',', ';', '\\', ':', '"', ' ', 'x', '\r', '\n'), 0, 200]).Sample((one, two) =>
        {
            CalendarTask task = CalendarTasks.Of(Some.Round() with { Advice = [Some.Shade() with { Text = one, Why = two, Where = two }] }, Domain, 1).Single();
            string text = CalendarWriter.Part([task], Mail.From);
            CalendarEvent read = Load(text).Events.Single();
            return text.Split("\r\n").All(line => Encoding.UTF8.GetByteCount(line) <= 75)
                && !text.Replace("\r\n", string.Empty, StringComparison.Ordinal).Contains('\n', StringComparison.Ordinal)
                && read.Description == task.Description && (read.Location ?? string.Empty) == task.Location
                && CalendarReader.Read(text).Single() == task;
        });

    private static IcalCalendar Load(string text) => IcalCalendar.Load(text)!;
}

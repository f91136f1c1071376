using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Rounds.Urgent;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.Letters.Tests;

public class UrgentNotesTests
{
    private static readonly UrgentWishes Night = new(HoldFrom: new LocalTime(21, 0), HoldUntil: new LocalTime(6, 0));

    private static Round Frost => Some.Round() with { Advice = [Some.Shade() with { Action = WorkAction.FrostCover, Hazard = Hazard.Frost, DoBy = Some.Local(23) }, Some.Stake()] };

    [Fact]
    public void New_urgent_work_is_written_and_nothing_else_with_it()
    {
        var send = Assert.IsType<UrgentDecision.Send>(Decide(Some.Round(), [], Some.Local(8)));

        Assert.Equal(["shade-b2"], send.Round.Advice.Select(a => a.Id));
        Assert.Equal(0, send.Ordinal);
    }

    [Fact]
    public void What_was_said_as_urgent_before_is_not_said_again()
    {
        SaidBefore[] said = [.. Some.Shade().Grafts.Select(g => new SaidBefore(WorkAction.Shade, Hazard.Heat, g, Some.Day, Level.Urgent, SaidState.Open))];

        Assert.IsType<UrgentDecision.Nothing>(Decide(Some.Round(), said, Some.Local(8)));
        Assert.IsType<UrgentDecision.Send>(Decide(Some.Round(), said[1..], Some.Local(8)));
    }

    [Fact]
    public void What_was_only_work_for_today_and_is_urgent_now_is_new()
    {
        SaidBefore[] said = [.. Some.Shade().Grafts.Select(g => new SaidBefore(WorkAction.Shade, Hazard.Heat, g, Some.Day, Level.Act, SaidState.Open))];

        Assert.IsType<UrgentDecision.Send>(Decide(Some.Round(), said, Some.Local(8)));
    }

    [Fact]
    public void Before_the_letter_nothing_is_written() =>
        Assert.IsType<UrgentDecision.Nothing>(UrgentNotes.Decide(Some.Round(), [], letterIsOut: false, 0, new UrgentWishes(), Some.Zone, Some.Morning));

    [Fact]
    public void What_is_past_is_not_urgent() => Assert.IsType<UrgentDecision.Nothing>(Decide(Some.Round(), [], Some.Local(11, 1)));

    [Fact]
    public void Work_to_be_done_at_once_is_urgent() => Assert.IsType<UrgentDecision.Send>(Decide(Some.Round(), [], Some.Local(11)));

    [Fact]
    public void The_fourth_note_of_a_day_waits_for_the_letter()
    {
        Assert.IsType<UrgentDecision.Send>(Decide(Some.Round(), [], Some.Local(8), notes: 2));
        Assert.IsType<UrgentDecision.Nothing>(Decide(Some.Round(), [], Some.Local(8), notes: 3));
    }

    [Fact]
    public void At_night_a_note_is_held_until_morning_and_frost_passes()
    {
        Round late = Some.Round() with { Advice = [Some.Shade() with { DoBy = Some.Local(11, 0, 1) }] };

        Assert.Equal(Some.Local(6, 0, 1), Assert.IsType<UrgentDecision.Hold>(Decide(late, [], Some.Local(22), Night)).Until);
        Assert.Equal(Some.Local(6), Assert.IsType<UrgentDecision.Hold>(Decide(late, [], Some.Local(5, 59), Night)).Until);
        Assert.IsType<UrgentDecision.Send>(Decide(late, [], Some.Local(6), Night));
        Assert.IsType<UrgentDecision.Send>(Decide(Frost, [], Some.Local(22), Night));
        Assert.IsType<UrgentDecision.Hold>(Decide(Frost, [], Some.Local(22), Night with { FrostPasses = false }));
    }

    [Theory]
    [InlineData("2027-03-28", 4)] // spring night: 06:00 CEST is 04:00Z
    [InlineData("2026-10-25", 5)] // autumn night: 06:00 CET is 05:00Z
    public void Holding_hours_end_at_the_right_hour_on_the_nights_the_clocks_change(string date, int endUtcHour)
    {
        LocalDate day = NodaTime.Text.LocalDatePattern.Iso.Parse(date).Value;
        Instant now = Instant.FromUtc(day.Year, day.Month, day.Day, 0, 30);

        Assert.Equal(Instant.FromUtc(day.Year, day.Month, day.Day, endUtcHour, 0), UrgentNotes.HeldUntil(Night, Some.Zone, now));
    }

    private static UrgentDecision Decide(Round round, IReadOnlyList<SaidBefore> said, Instant now, UrgentWishes? wishes = null, int notes = 0) =>
        UrgentNotes.Decide(round, said, letterIsOut: true, notes, wishes ?? new UrgentWishes(), Some.Zone, now);
}

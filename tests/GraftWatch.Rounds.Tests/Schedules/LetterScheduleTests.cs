using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Rounds.Tests.Fakes;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Schedules;

public sealed class LetterScheduleTests
{
    // Clock changes as the IANA time zone database has them; the instants were worked out by hand from its rules.
    [Theory]
    [InlineData("Europe/Berlin", "02:30", "2026-03-29", "2026-03-29T01:30:00Z", "02:00-03:00 does not exist: due at 03:30 summer time")]
    [InlineData("Europe/Berlin", "02:30", "2026-10-25", "2026-10-25T00:30:00Z", "02:30 comes twice: the first counts")]
    [InlineData("Europe/Berlin", "05:30", "2026-03-28", "2026-03-28T04:30:00Z", "the day before, winter time")]
    [InlineData("Europe/Berlin", "05:30", "2026-03-29", "2026-03-29T03:30:00Z", "the morning after the change, summer time")]
    [InlineData("America/New_York", "02:30", "2026-03-08", "2026-03-08T07:30:00Z", "gap: due at 03:30 daylight time")]
    [InlineData("America/New_York", "01:30", "2026-11-01", "2026-11-01T05:30:00Z", "overlap: the first 01:30 is daylight time")]
    [InlineData("Australia/Sydney", "02:30", "2026-10-04", "2026-10-03T16:30:00Z", "southern spring gap: due at 03:30, UTC+11")]
    [InlineData("Australia/Sydney", "02:30", "2026-04-05", "2026-04-04T15:30:00Z", "southern autumn overlap: the first 02:30 is UTC+11")]
    [InlineData("Australia/Lord_Howe", "02:15", "2026-10-04", "2026-10-03T15:45:00Z", "half-hour gap 02:00-02:30: due at 02:45, UTC+11")]
    [InlineData("Australia/Lord_Howe", "01:45", "2026-04-05", "2026-04-04T14:45:00Z", "half-hour overlap 01:30-02:00: the first is UTC+11")]
    [InlineData("America/Santiago", "00:30", "2026-09-06", "2026-09-06T04:30:00Z", "gap at midnight: due at 01:30, UTC-3, same date")]
    [InlineData("America/Santiago", "23:30", "2026-04-04", "2026-04-05T02:30:00Z", "overlap before midnight: the first 23:30 is UTC-3")]
    [InlineData("Asia/Kathmandu", "05:30", "2026-05-14", "2026-05-13T23:45:00Z", "UTC+5:45")]
    [InlineData("UTC", "05:30", "2024-02-29", "2024-02-29T05:30:00Z", "leap day")]
    public void A_letter_is_due_where_the_zone_puts_its_hour(string zone, string time, string date, string due, string because) =>
        Assert.True(LetterSchedule.DueAt(Some.Grower(zone, time), Some.Date(date)) == Some.At(due), because);

    [Theory]
    [InlineData("Europe/Berlin")]
    [InlineData("America/New_York")]
    [InlineData("Australia/Sydney")]
    [InlineData("Australia/Lord_Howe")]
    [InlineData("America/Santiago")]
    [InlineData("Asia/Kathmandu")]
    [InlineData("UTC")]
    public void Every_local_date_is_served_once_and_in_order_at_every_half_hour_of_the_day(string zone)
    {
        for (int halfHour = 0; halfHour < 48; halfHour++)
        {
            Grower grower = Some.Grower(zone) with { LetterTime = LocalTime.Midnight.PlusMinutes(30 * halfHour) };
            DueLetter letter = LetterSchedule.NextDue(grower, Some.At("2026-01-01T12:00:00Z"));
            for (int day = 0; day < 400; day++)
            {
                DueLetter next = LetterSchedule.NextDue(grower, letter.At);
                Assert.Equal(letter.Date.PlusDays(1), next.Date);
                Assert.True(next.At > letter.At);
                Assert.Equal(letter.Date, letter.At.InZone(grower.Zone).Date);
                letter = next;
            }
        }
    }

    [Fact]
    public void All_zones_of_the_database_give_one_letter_a_day_for_a_year()
    {
        foreach (string id in DateTimeZoneProviders.Tzdb.Ids)
        {
            Grower grower = Some.Grower(id, "06:30");
            DueLetter letter = LetterSchedule.NextDue(grower, Some.At("2026-06-01T00:00:00Z"));
            for (int day = 0; day < 400; day++)
            {
                DueLetter next = LetterSchedule.NextDue(grower, letter.At);
                Assert.True(next.Date == letter.Date.PlusDays(1) && next.At > letter.At, $"{id} after {letter.Date:R}");
                letter = next;
            }
        }
    }

    // Samoa went over the date line: after 29 December 2011 came 31 December (IANA tzdb, Pacific/Apia).
    [Fact]
    public void A_date_the_zone_leaves_out_has_no_letter_and_the_next_has_one()
    {
        Grower grower = Some.Grower("Pacific/Apia");
        Assert.Null(LetterSchedule.DueAt(grower, Some.Date("2011-12-30")));
        DueLetter before = LetterSchedule.NextDue(grower, Some.At("2011-12-29T00:00:00Z"));
        DueLetter after = LetterSchedule.NextDue(grower, before.At);
        Assert.Equal(Some.Date("2011-12-29"), before.Date);
        Assert.Equal(Some.Date("2011-12-31"), after.Date);
    }

    [Fact]
    public void Between_the_two_half_past_twos_of_an_autumn_night_the_next_letter_is_tomorrows()
    {
        Grower grower = Some.Grower("Europe/Berlin", "02:30");
        DueLetter next = LetterSchedule.NextDue(grower, Some.At("2026-10-25T01:00:00Z"));
        Assert.Equal(Some.Date("2026-10-26"), next.Date);
    }

    [Theory]
    [InlineData("2026-05-14T03:29:59Z", typeof(MorningDecision.NotYet), "a second before 05:30")]
    [InlineData("2026-05-14T03:30:00Z", typeof(MorningDecision.Due), "on the dot")]
    [InlineData("2026-05-14T13:59:00Z", typeof(MorningDecision.Due), "late, but before 16:00")]
    [InlineData("2026-05-14T14:00:00Z", typeof(MorningDecision.TooLate), "16:00 local")]
    [InlineData("2026-05-14T22:10:00Z", typeof(MorningDecision.NotYet), "past midnight: the next day's letter")]
    public void A_missed_letter_is_made_once_until_the_too_late_hour(string now, Type decision, string because) =>
        Assert.True(LetterSchedule.Decide(Some.Grower(), Some.At(now), new MorningPolicy()).GetType() == decision, because);

    [Fact]
    public void A_letter_made_within_ten_minutes_of_its_hour_is_not_called_late()
    {
        Assert.False(Assert.IsType<MorningDecision.Due>(LetterSchedule.Decide(Some.Grower(), Some.At("2026-05-14T03:40:00Z"), new MorningPolicy())).IsLate);
        Assert.True(Assert.IsType<MorningDecision.Due>(LetterSchedule.Decide(Some.Grower(), Some.At("2026-05-14T03:41:00Z"), new MorningPolicy())).IsLate);
    }

    [Fact]
    public void A_grower_who_wants_no_late_letter_gets_none()
    {
        var policy = new MorningPolicy { Missed = MissedMorning.Skip };
        Assert.IsType<MorningDecision.Due>(LetterSchedule.Decide(Some.Grower(), Some.At("2026-05-14T03:35:00Z"), policy));
        Assert.IsType<MorningDecision.TooLate>(LetterSchedule.Decide(Some.Grower(), Some.At("2026-05-14T04:00:00Z"), policy));
    }

    [Fact]
    public void A_late_letter_hour_still_leaves_four_useful_hours()
    {
        Grower evening = Some.Grower(letterTime: "18:00");
        Assert.Equal(Some.At("2026-05-14T20:00:00Z"), LetterSchedule.TooLateAt(evening, Some.Date("2026-05-14"), new MorningPolicy()));
    }
}

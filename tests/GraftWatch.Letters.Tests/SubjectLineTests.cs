using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;

namespace GraftWatch.Letters.Tests;

public class SubjectLineTests
{
    [Fact]
    public void The_subject_says_the_day_and_the_most_pressing_work() =>
        Assert.Equal("Thu 14 May · shade 7 unions before 11:00, stake 3, slit 5 ties", SubjectLine.For(Some.Round()));

    [Fact]
    public void Two_kinds_of_work_fit_beside_each_other() =>
        Assert.Equal(
            "Thu 14 May · shade 7 unions before 11:00, stake 3",
            SubjectLine.For(Some.Round() with { Advice = [Some.Stake() with { DoBy = null }, Some.Shade()] }));

    [Fact]
    public void Work_whose_hour_is_now_is_to_be_done_at_once() =>
        Assert.StartsWith("Thu 14 May · shade 7 unions at once, ", SubjectLine.For(Some.Round() with { Now = Some.Local(11) }), StringComparison.Ordinal);

    [Fact]
    public void A_quiet_day_says_so() => Assert.Equal("Thu 14 May · nothing to do", SubjectLine.For(Some.QuietRound()));

    [Fact]
    public void Notes_alone_are_counted() =>
        Assert.Equal("Thu 14 May · nothing to do, 1 note", SubjectLine.For(Some.Round() with { Advice = [Some.Note()] }));

    [Fact]
    public void Losses_that_nothing_averts_are_no_quiet_day()
    {
        Round losses = Some.Round() with { Advice = [Some.Note() with { Level = Level.Urgent, Hazard = Hazard.Frost, Unions = 2 }] };
        Assert.Equal("Thu 14 May · new: expect frost losses at 2 unions", SubjectLine.For(losses, LetterKind.Urgent));
        Assert.Equal("Thu 14 May · perhaps frost losses at 2 unions", SubjectLine.For(losses with { Advice = [losses.Advice[0] with { Level = Level.Act }] }));
        Assert.Equal(
            "Thu 14 May · shade 7 unions before 11:00, expect frost losses at 2",
            SubjectLine.For(losses with { Advice = [.. losses.Advice, Some.Shade()] }));
    }

    [Fact]
    public void What_could_not_be_checked_comes_first() =>
        Assert.Equal("Thu 14 May · not checked: 3 grafts", SubjectLine.For(Some.BrokenRound()));

    [Fact]
    public void A_round_without_a_place_never_says_nothing_to_do() =>
        Assert.Equal("Thu 14 May · the round could not be made", SubjectLine.For(Some.QuietRound() with { Places = [] }));

    [Fact]
    public void The_same_work_in_two_rows_is_added_up_with_the_earliest_hour() =>
        Assert.Equal(
            "Thu 14 May · shade 9 unions before 10:00",
            SubjectLine.For(Some.Round() with { Advice = [Some.Shade(), Some.Shade() with { Unions = 2, DoBy = Some.Local(10) }] }));

    [Fact]
    public void No_subject_is_longer_than_seventy_characters_whatever_the_work()
    {
        foreach (WorkAction action in Enum.GetValues<WorkAction>())
        {
            foreach (Level level in Enum.GetValues<Level>())
            {
                Round round = Some.Round() with
                {
                    Advice = [.. Enum.GetValues<WorkAction>().Prepend(action).Select(a => Some.Shade() with { Action = a, Level = level, Unions = 12345 })],
                };
                Assert.InRange(SubjectLine.For(round).Length, 12, SubjectLine.Limit);
            }
        }
    }

    [Fact]
    public void Work_that_can_wait_stands_behind_what_is_for_today() =>
        Assert.Equal(
            "Thu 14 May · stake 3 shoots before 18:00, slit 5 ties",
            SubjectLine.For(Some.Round() with { Advice = [Some.SlitTies(), Some.Stake()] }));

    [Fact]
    public void Midnight_is_tonight() =>
        Assert.Equal(
            "Thu 14 May · cover 7 unions against frost by tonight",
            SubjectLine.For(Some.Round() with { Advice = [Some.Shade() with { Action = WorkAction.FrostCover, DoBy = Some.Local(0, 0, 1) }] }));
}

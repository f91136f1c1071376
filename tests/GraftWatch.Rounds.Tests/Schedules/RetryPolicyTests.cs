using GraftWatch.Rounds.Schedules;
using GraftWatch.Rounds.Tests.Fakes;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Schedules;

public sealed class RetryPolicyTests
{
    private static readonly Instant Start = Some.At("2026-05-14T03:30:00Z");

    [Theory]
    [InlineData(0, 0)]
    [InlineData(1, 30)]
    [InlineData(2, 120)]
    [InlineData(3, 300)]
    [InlineData(4, 600)]
    [InlineData(5, 1200)]
    [InlineData(6, 1800)]
    [InlineData(7, 1800)]
    [InlineData(500, 1800)]
    public void Pauses_grow_to_half_an_hour_and_stay_there(int tries, int seconds) =>
        Assert.Equal(Duration.FromSeconds(seconds), RetryPolicy.PauseAfter(tries));

    [Fact]
    public void A_letter_never_tried_is_tried_at_once() =>
        Assert.Equal(RetryStep.Try, RetryPolicy.Decide(0, null, Start + Duration.FromHours(1), Start).Step);

    [Fact]
    public void A_pause_is_kept_to_the_second()
    {
        Instant tooLate = Start + Duration.FromHours(10);
        RetryDecision early = RetryPolicy.Decide(2, Start, tooLate, Start + Duration.FromSeconds(119));
        Assert.Equal(new RetryDecision(RetryStep.Wait, Start + Duration.FromSeconds(120)), early);
        Assert.Equal(RetryStep.Try, RetryPolicy.Decide(2, Start, tooLate, Start + Duration.FromSeconds(120)).Step);
    }

    [Fact]
    public void At_the_too_late_hour_no_more_tries_are_made() =>
        Assert.Equal(RetryStep.TooLate, RetryPolicy.Decide(0, null, Start, Start).Step);

    [Fact]
    public void A_clock_set_back_does_not_hold_a_letter() =>
        Assert.Equal(RetryStep.Try, RetryPolicy.Decide(3, Start + Duration.FromHours(5), Start + Duration.FromHours(9), Start).Step);

    [Fact]
    public void From_half_past_five_to_four_in_the_afternoon_a_dead_server_is_tried_some_two_dozen_times()
    {
        Instant tooLate = Start + Duration.FromHours(10.5);
        int tries = 0;
        Instant? last = null;
        for (Instant now = Start; now < tooLate; now += Duration.FromMinutes(1))
        {
            if (RetryPolicy.Decide(tries, last, tooLate, now).Step == RetryStep.Try)
            {
                tries++;
                last = now;
            }
        }

        Assert.InRange(tries, 20, 28);
    }
}

using GraftWatch.Rounds.Ports;
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
    public void Pauses_are_spread_by_a_fifth_the_same_way_each_time()
    {
        double[] shares = [.. Enumerable.Range(0, 2000).Select(i => RetryPolicy.PauseAfter(4, $"{i}@nursery.example") / Duration.FromMinutes(10))];
        Assert.All(shares, share => Assert.InRange(share, 0.8, 1.2));
        Assert.Equal(10, shares.Select(share => (int)((share - 0.8) / 0.04)).Distinct().Count());
        Assert.InRange(shares.Average(), 0.99, 1.01);
        Assert.Equal(shares, Enumerable.Range(0, 2000).Select(i => RetryPolicy.PauseAfter(4, $"{i}@nursery.example") / Duration.FromMinutes(10)));
        Assert.NotEqual(RetryPolicy.PauseAfter(6, "a"), RetryPolicy.PauseAfter(7, "a"));
    }

    [Theory]
    [InlineData(DeliveryOutcome.TryLater, null, 0.4, 0.6)]
    [InlineData(DeliveryOutcome.TryLater, 7.0, 7, 7)]
    [InlineData(DeliveryOutcome.TryLater, 0.1, 0.4, 0.6)]
    [InlineData(DeliveryOutcome.TryLater, 600.0, 60, 60)]
    [InlineData(DeliveryOutcome.Unknown, null, 15, 15)]
    public void The_next_try_heeds_the_server_within_an_hour_and_rests_after_a_doubt(DeliveryOutcome outcome, double? askedMinutes, double leastMinutes, double mostMinutes)
    {
        SealedLetter letter = Some.Letter(Some.Grower(), Some.Date("2026-05-14"), Start);
        Duration? asked = askedMinutes is { } minutes ? Duration.FromMinutes(minutes) : null;
        Duration pause = RetryPolicy.NextTryAt(letter, 1, new DeliveryResult(outcome, DeliveryReason.ServerBusy, string.Empty) { RetryAfter = asked }, Start) - Start;
        Assert.InRange(pause.TotalMinutes, leastMinutes, mostMinutes);
    }

    [Fact]
    public void From_half_past_five_to_four_in_the_afternoon_a_letter_is_tried_some_two_dozen_times()
    {
        SealedLetter letter = Some.Letter(Some.Grower(), Some.Date("2026-05-14"), Start);
        var busy = new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451");
        int tries = 0;
        for (Instant now = Start; now < Start + Duration.FromHours(10.5); now = RetryPolicy.NextTryAt(letter, tries, busy, now))
        {
            tries++;
        }

        Assert.InRange(tries, 20, 28);
    }
}

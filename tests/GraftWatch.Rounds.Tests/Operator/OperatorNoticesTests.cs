using GraftWatch.Rounds.Operator;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Tests.Fakes;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Operator;

public sealed class OperatorNoticesTests
{
    private static readonly Instant Noon = Some.At("2026-05-14T12:00:00Z");
    private static readonly OperatorFact SignIn = new("channel mail SignIn", "The mail server refuses the sign-in.");
    private static readonly OperatorFact Disk = new("installation disk", "The disk is nearly full.");
    private static readonly DayOfLetters NoneYet = new(0, null, false);

    [Fact]
    public void What_is_new_is_told_and_what_was_told_stands_below_it()
    {
        var send = Assert.IsType<OperatorDecision.Send>(Decide([SignIn, Disk], Told(SignIn, Noon - Duration.FromHours(3)), new DayOfLetters(1, Noon - Duration.FromHours(3), false)));
        Assert.Equal([Disk], send.News);
        Assert.Equal([SignIn], send.Known);
        Assert.Equal(1, send.Ordinal);
    }

    [Fact]
    public void Nothing_is_told_twice_within_a_day_and_again_after_it()
    {
        Assert.IsType<OperatorDecision.Nothing>(Decide([SignIn], Told(SignIn, Noon - Duration.FromHours(23.9)), NoneYet));
        Assert.IsType<OperatorDecision.Send>(Decide([SignIn], Told(SignIn, Noon - Duration.FromHours(24)), NoneYet));
    }

    [Theory]
    [InlineData(1, 59, false)]
    [InlineData(1, 60, true)]
    [InlineData(5, 60, true)]
    [InlineData(6, 600, false)]
    public void At_most_once_an_hour_and_six_times_a_day(int sealedToday, int minutesSince, bool told)
    {
        Instant last = Noon - Duration.FromMinutes(minutesSince);
        OperatorDecision decision = OperatorNotices.Decide([SignIn], new Dictionary<string, Instant>(), new DayOfLetters(sealedToday, last, false), last, Noon);
        Assert.Equal(told, decision is OperatorDecision.Send);
    }

    [Fact]
    public void Nothing_amiss_and_closed_days_are_silent()
    {
        Assert.IsType<OperatorDecision.Nothing>(Decide([], new Dictionary<string, Instant>(), NoneYet));
        Assert.IsType<OperatorDecision.Nothing>(Decide([SignIn], new Dictionary<string, Instant>(), NoneYet with { IsClosed = true }));
    }

    // A relay that refuses everything, mails to the operator too, for two days: every half minute something new is lost.
    [Fact]
    public void Two_days_of_refusals_give_at_most_twelve_mails()
    {
        var told = new Dictionary<string, Instant>();
        var days = new Dictionary<LocalDate, DayOfLetters>();
        Instant? last = null;
        int mails = 0;
        Instant start = Some.At("2026-05-14T00:00:00Z");
        for (Instant now = start; now < start + Duration.FromDays(2); now += Duration.FromSeconds(30))
        {
            OperatorFact[] facts = [SignIn, new("lost " + now, "A letter was given up.")];
            LocalDate day = now.InUtc().Date;
            DayOfLetters today = days.GetValueOrDefault(day, NoneYet);
            if (OperatorNotices.Decide(facts, told, today, last, now) is OperatorDecision.Send send)
            {
                mails++;
                last = now;
                days[day] = new DayOfLetters(send.Ordinal + 1, now, false);
                foreach (OperatorFact fact in send.News)
                {
                    told[fact.Key] = now;
                }
            }
        }

        Assert.Equal(12, mails);
    }

    private static Dictionary<string, Instant> Told(OperatorFact fact, Instant at) => new() { [fact.Key] = at };

    private static OperatorDecision Decide(IReadOnlyList<OperatorFact> facts, Dictionary<string, Instant> told, DayOfLetters today) =>
        OperatorNotices.Decide(facts, told, today, today.LastSealedAt, Noon);
}

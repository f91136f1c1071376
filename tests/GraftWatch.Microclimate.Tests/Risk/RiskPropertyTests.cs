using CsCheck;
using GraftWatch.Microclimate.Risk;

namespace GraftWatch.Microclimate.Tests.Risk;

public class RiskPropertyTests
{
    [Fact]
    public void No_ensemble_rules_anything_out_and_sides_mirror() =>
        Gen.Int[1, 200].SelectMany(n => Gen.Int[0, n].Select(k => (k, n))).Sample((k, n) =>
        {
            double p = EventProbability.OfCount(k, n);
            Assert.InRange(p, 1e-9, 1 - 1e-9);
            Assert.Equal(1, p + EventProbability.OfCount(n - k, n), 1e-12);
            Assert.True(k == n || EventProbability.OfCount(k + 1, n) > p);
        });

    [Fact]
    public void Counting_without_members_is_unknown_and_impossible_counts_are_refused()
    {
        Assert.True(double.IsNaN(EventProbability.OfCount(0, 0)));
        Assert.Throws<ArgumentOutOfRangeException>(() => EventProbability.OfCount(2, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => EventProbability.OfCount(-1, 1));
    }

    [Fact]
    public void Any_hour_counts_a_member_once_however_often_it_crosses()
    {
        // Three members, four hours: the first is past 30 twice, the second never, the third once.
        double[] paths = [29, 31, 29, 32, 20, 21, 22, 23, 30, 20, 20, 20];
        MemberEvents any = MemberEvents.Count(paths, 3, 30, EventSide.AtOrAbove);
        Assert.Equal(new MemberEvents(2, 3, 0), any);
        Assert.Equal(EventProbability.OfCount(2, 3), any.ProbabilityFrac);
        Assert.Equal(0, MemberEvents.Count(paths, 3, 30, EventSide.AtOrAbove, hoursOnEnd: 2).Crossing);
        Assert.Equal(1, MemberEvents.Count([29, 31, 32, 20], 1, 30, EventSide.AtOrAbove, hoursOnEnd: 2).Crossing);
        Assert.Equal(2, MemberEvents.Count(paths, 3, 20, EventSide.AtOrBelow).Crossing);
    }

    [Fact]
    public void Members_that_agree_hour_by_hour_are_not_multiplied()
    {
        // Ten members of which one is past the threshold in every hour: the probability of any hour is that of one member,
        // not 1 - (1 - 1/10)^24 = 0.92 as independent hours would have it.
        double[] paths = [.. Enumerable.Repeat(40.0, 24), .. Enumerable.Repeat(20.0, 9 * 24)];
        Assert.InRange(MemberEvents.Count(paths, 10, 35, EventSide.AtOrAbove).ProbabilityFrac, 0.1, 0.2);
    }

    [Fact]
    public void A_gap_makes_a_member_unknown_unless_it_crossed_anyway()
    {
        double nan = double.NaN;
        Assert.Equal(new MemberEvents(1, 2, 1), MemberEvents.Count([31, nan, 20, nan, 20, 20], 3, 30, EventSide.AtOrAbove));
        Assert.Equal(new MemberEvents(0, 0, 1), MemberEvents.Count([31, nan, 31], 1, 30, EventSide.AtOrAbove, hoursOnEnd: 2));
        Assert.True(double.IsNaN(MemberEvents.Count([nan], 1, 30, EventSide.AtOrAbove).ProbabilityFrac));
        Assert.Equal(default, MemberEvents.Count([], 0, 30, EventSide.AtOrAbove));
        Assert.Throws<ArgumentException>(() => MemberEvents.Count([1, 2, 3], 2, 30, EventSide.AtOrAbove));
        Assert.Throws<ArgumentException>(() => MemberEvents.Count([1, 2], 2, nan, EventSide.AtOrAbove));
        Assert.Throws<ArgumentException>(() => MemberEvents.Count([1, 2], 2, 30, EventSide.AtOrAbove, 0));
        Assert.Throws<ArgumentException>(() => MemberEvents.Count([1, 2], 0, 30, EventSide.AtOrAbove));
    }

    [Fact]
    public void Lower_thresholds_are_never_crossed_by_fewer_members() =>
        Gen.Select(Gen.Double[-5, 35].Array[60], Gen.Double[-5, 35], Gen.Double[0, 5]).Sample((paths, threshold, lower) =>
            Assert.True(MemberEvents.Count(paths, 6, threshold - lower, EventSide.AtOrAbove).Crossing
                >= MemberEvents.Count(paths, 6, threshold, EventSide.AtOrAbove).Crossing));

    [Fact]
    public void Below_and_above_make_one_and_tails_stay_small_not_zero() =>
        Gen.Select(Gen.Double[-10, 10], Gen.Double[-10, 10], Gen.Double[1, 5], Gen.Double[0, 4]).Sample((threshold, mean, spread, place) =>
        {
            GaussianCalibration calibration = GaussianCalibration.OfBias(-0.7, place);
            double below = calibration.ProbabilityAtOrBelowFrac(threshold, mean, spread);
            double above = calibration.ProbabilityAboveFrac(threshold, mean, spread);
            Assert.Equal(1, below + above, 1e-12);
            Assert.True(below > 0 && above > 0);
            Assert.True(calibration.ProbabilityAtOrBelowFrac(threshold + 0.5, mean, spread) >= below);
        });

    [Fact]
    public void A_colder_place_is_likelier_to_freeze_and_a_place_less_known_is_less_sure()
    {
        GaussianCalibration known = GaussianCalibration.OfBias(0, 0.2), colder = GaussianCalibration.OfBias(-1, 0.2), vague = GaussianCalibration.OfBias(0, 3);
        Assert.True(colder.ProbabilityAtOrBelowFrac(0, 2, 1) > known.ProbabilityAtOrBelowFrac(0, 2, 1));
        Assert.InRange(vague.ProbabilityAtOrBelowFrac(0, 2, 1), known.ProbabilityAtOrBelowFrac(0, 2, 1), 0.5);
        Assert.Equal(0.5, known.ProbabilityAtOrBelowFrac(2, 2, 1), 1e-15);
    }

    [Fact]
    public void Without_spread_the_forecast_decides_and_gaps_stay_gaps()
    {
        var sharp = new GaussianCalibration(0, 1, 0, 1);
        Assert.Equal((1, 0), (sharp.ProbabilityAtOrBelowFrac(2, 2, 0), sharp.ProbabilityAboveFrac(2, 2, 0)));
        Assert.Equal((0, 1), (sharp.ProbabilityAtOrBelowFrac(1, 2, 0), sharp.ProbabilityAboveFrac(1, 2, 0)));
        Assert.True(double.IsNaN(sharp.ProbabilityAtOrBelowFrac(double.NaN, 2, 0)));
        Assert.True(double.IsNaN(sharp.ProbabilityAboveFrac(2, double.NaN, 1)));
        Assert.True(double.IsNaN(sharp.ProbabilityAboveFrac(2, 2, double.NaN)));
        Assert.True(double.IsNaN(new GaussianCalibration(0, 1, -1, 0).ProbabilityAtOrBelowFrac(0, 0, 1)));
        Assert.Equal([1.0, 1.0, 1.35, 2.05], new[] { 0, 1, 2, 4.0 }.Select(GaussianCalibration.DefaultSpreadK));
        Assert.True(double.IsNaN(GaussianCalibration.DefaultSpreadK(double.NaN)));
    }

    [Fact]
    public void Warnings_are_worth_most_where_cost_over_loss_is_the_base_rate_and_never_more_than_perfect_ones() =>
        Gen.Select(Gen.Double[0.02, 0.98], Gen.Double[0, 1], Gen.Double[0, 1], Gen.Double[0.02, 0.98]).Sample((s, hit, falseAlarm, a) =>
        {
            Assert.Equal(hit - falseAlarm, CostLoss.ValueFrac(s, hit, falseAlarm, s), 1e-9);
            double value = CostLoss.ValueFrac(s, hit, falseAlarm, a);
            Assert.True(value <= Math.Max(hit - falseAlarm, 0) + 1e-9 || value <= 1 + 1e-9);
            Assert.True(value <= (hit - falseAlarm) + 1e-9);
            Assert.Equal(1, CostLoss.ValueFrac(s, 1, 0, a), 1e-9);
        });

    [Fact]
    public void Value_is_what_the_expenses_say_it_is() =>
        Gen.Select(Gen.Int[1, 50], Gen.Int[0, 50], Gen.Int[0, 50], Gen.Int[1, 500], Gen.Double[0.02, 0.98]).Sample((hits, misses, falseAlarms, quiet, a) =>
        {
            var record = new WarningRecord(hits, misses, falseAlarms, quiet);
            double climate = Math.Min(a, record.BaseRateFrac), perfect = record.BaseRateFrac * a;
            double expected = (climate - CostLoss.MeanExpense(record, a, 1)) / (climate - perfect);
            Assert.Equal(expected, CostLoss.ValueFrac(record.BaseRateFrac, record.HitRateFrac, record.FalseAlarmRateFrac, a), 1e-9);
        });

    [Fact]
    public void Protecting_that_saves_only_part_must_be_likelier_to_be_needed()
    {
        Assert.Equal(0.1, CostLoss.ActFrom(1, 10), 1e-12);
        Assert.Equal(0.2, CostLoss.ActFrom(1, 10, 0.5), 1e-12);
        Assert.True(double.IsNaN(CostLoss.ActFrom(-1, 10)));
        Assert.True(double.IsNaN(CostLoss.ActFrom(1, 0)));
        Assert.True(double.IsNaN(CostLoss.ActFrom(1, 10, 0)));
        Assert.True(double.IsNaN(CostLoss.ValueFrac(0, 1, 0, 0.5)));
        Assert.True(double.IsNaN(CostLoss.ValueFrac(0.5, 1, double.NaN, 0.5)));
        Assert.True(double.IsNaN(CostLoss.MeanExpense(default, 1, 10)));
        Assert.True(double.IsNaN(default(WarningRecord).HitRateFrac));
    }

    [Fact]
    public void The_parts_of_the_Brier_score_add_up_whatever_was_said() =>
        Gen.Select(Gen.Int[0, 10], Gen.Bool).Array[1, 200].Sample(cases =>
        {
            BrierScore score = BrierScore.Compute(cases.Select(c => c.Item1 / 10.0).ToArray(), cases.Select(c => c.Item2).ToArray());
            Assert.Equal(score.Score, score.Reliability - score.Resolution + score.Uncertainty, 1e-12);
            Assert.InRange(score.Score, 0, 1);
            Assert.Equal(cases.Length, score.Cases);
        });

    [Fact]
    public void Always_saying_a_half_scores_a_quarter_and_gaps_are_left_out()
    {
        Assert.Equal(0.25, BrierScore.Compute([0.5, 0.5, double.NaN], [true, false, true]).Score, 1e-12);
        Assert.Equal(2, BrierScore.Compute([0.5, 0.5, double.NaN], [true, false, true]).Cases);
        Assert.True(double.IsNaN(BrierScore.Compute([], []).Score));
        Assert.True(double.IsNaN(BrierScore.Compute([1.0], [true]).SkillFrac));
        Assert.Throws<ArgumentException>(() => BrierScore.Compute([1.1], [true]));
        Assert.Throws<ArgumentException>(() => BrierScore.Compute([1.0], []));
    }

    [Fact]
    public void Reliability_bins_hold_every_case_and_tell_only_when_full_enough()
    {
        double[] issued = [.. Enumerable.Repeat(0.05, 25), 0.1, 1.0, double.NaN];
        bool[] came = [.. Enumerable.Range(0, 25).Select(i => i < 2), true, true, true];
        IReadOnlyList<ReliabilityBin> bins = ReliabilityBin.Compute(issued, came, 10);
        Assert.Equal(10, bins.Count);
        Assert.Equal(27, bins.Sum(b => b.Cases));
        Assert.Equal((25, true), (bins[0].Cases, bins[0].IsTelling));
        Assert.Equal(0.08, bins[0].ObservedFrac, 1e-12);
        Assert.Equal((1, 1, false), (bins[1].Cases, bins[9].Cases, bins[9].IsTelling));
        Assert.True(double.IsNaN(bins[5].ObservedFrac) && double.IsNaN(bins[5].MeanIssuedFrac));
        Assert.Throws<ArgumentOutOfRangeException>(() => ReliabilityBin.Compute([], [], 0));
        Assert.Throws<ArgumentException>(() => ReliabilityBin.Compute([-0.1], [true], 10));
    }
}

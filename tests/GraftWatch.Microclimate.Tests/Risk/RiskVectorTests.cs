using GraftWatch.Microclimate.Risk;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Risk;

public class RiskVectorTests
{
    private static readonly GaussianCalibration Plain = new(0, 1, 0, 1);

    [Fact]
    public void Counts_become_probabilities_by_the_plotting_position()
    {
        foreach (VectorRow row in VectorFile.Load("Risk/plotting-position.regression.csv").Rows)
        {
            row.Check("probability", EventProbability.OfCount((int)row["crossing"], (int)row["members"]));
        }
    }

    [Theory]
    [InlineData("Risk/normal.csv")]
    [InlineData("Risk/normal-table.csv")]
    public void The_normal_distribution_matches_a_library_and_a_table(string file)
    {
        foreach (VectorRow row in VectorFile.Load(file).Rows)
        {
            row.Check("cumulativeFrac", Plain.ProbabilityAtOrBelowFrac(row["z"], 0, 1));
        }
    }

    [Fact]
    public void Calibrated_probabilities_match()
    {
        foreach (VectorRow row in VectorFile.Load("Risk/gaussian.regression.csv").Rows)
        {
            row.Check("atOrBelow", Plain.ProbabilityAtOrBelowFrac(row["threshold"], row["mean"], row["spread"]));
            row.Check("above", Plain.ProbabilityAboveFrac(row["threshold"], row["mean"], row["spread"]));
        }
    }

    [Fact]
    public void Expense_and_value_of_warnings_match()
    {
        var record = new WarningRecord(24, 6, 7, 63);
        Assert.Equal((0.3, 0.8, 0.1), (record.BaseRateFrac, record.HitRateFrac, record.FalseAlarmRateFrac));
        foreach (VectorRow row in VectorFile.Load("Risk/cost-loss.regression.csv").Rows)
        {
            row.Check("expense", CostLoss.MeanExpense(record, row["costLossFrac"], 1));
            row.Check("value", CostLoss.ValueFrac(0.3, 0.8, 0.1, row["costLossFrac"]));
        }

        foreach (VectorRow row in VectorFile.Load("Risk/value.regression.csv").Rows)
        {
            row.Check("value", CostLoss.ValueFrac(row["baseRate"], row["hitRate"], row["falseAlarmRate"], row["costLossFrac"]));
        }
    }

    [Fact]
    public void Finley_s_tornado_forecasts_show_why_being_right_is_not_enough()
    {
        VectorRow row = Assert.Single(VectorFile.Load("Risk/warning-record.csv").Rows);
        var finley = new WarningRecord((int)row["hits"], (int)row["misses"], (int)row["falseAlarms"], (int)row["quiet"]);
        row.Check("right", finley.RightFrac);
        row.Check("rightByNeverWarning", 1 - finley.BaseRateFrac);
        row.Check("hitRate", finley.HitRateFrac);
        row.Check("falseAlarmRatio", finley.FalseAlarmRatioFrac);
    }

    [Fact]
    public void Brier_score_and_its_parts_match()
    {
        BrierScore documented = BrierScore.Compute([0.1, 0.9, 0.8, 0.3], [false, true, true, false]);
        Assert.Single(VectorFile.Load("Risk/brier.csv").Rows).Check("score", documented.Score);

        double[] issued = [.. Enumerable.Repeat(0.1, 5), .. Enumerable.Repeat(0.3, 5), .. Enumerable.Repeat(0.7, 4), .. Enumerable.Repeat(0.9, 6)];
        int[] came = [0, 5, 6, 10, 11, 12, 14, 15, 16, 17, 18];
        BrierScore score = BrierScore.Compute(issued, Enumerable.Range(0, 20).Select(i => came.Contains(i)).ToArray());
        VectorRow row = Assert.Single(VectorFile.Load("Risk/brier.regression.csv").Rows);
        row.Check("score", score.Score);
        row.Check("reliability", score.Reliability);
        row.Check("resolution", score.Resolution);
        row.Check("uncertainty", score.Uncertainty);
        row.Check("skill", score.SkillFrac);
    }
}

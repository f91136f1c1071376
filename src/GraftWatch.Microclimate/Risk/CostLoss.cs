namespace GraftWatch.Microclimate.Risk;

/// <summary>When protecting pays: the cost-loss decision.</summary>
/// <remarks>Cost and loss in the same unit (minutes, grafts, money). NaN in gives NaN out.</remarks>
public static class CostLoss
{
    /// <summary>Probability from which protecting pays.</summary>
    /// <param name="cost">Cost of protecting once. [any], 0 or more.</param>
    /// <param name="loss">Loss when it comes and nothing was done. [same], above 0.</param>
    /// <param name="savedFrac">Share of the loss that protecting saves. [-], above 0 to 1.</param>
    /// <returns>Probability. [-]; above 1 means that it never pays; NaN where an input is out of range.</returns>
    /// <remarks><c>C / (r L)</c>, [Murphy1977].</remarks>
    public static double ActFrom(double cost, double loss, double savedFrac = 1) =>
        cost >= 0 && loss > 0 && savedFrac is > 0 and <= 1 ? cost / (savedFrac * loss) : double.NaN;

    /// <summary>Mean expense of following warnings, per case.</summary>
    /// <param name="record">What became of the warnings.</param>
    /// <param name="cost">Cost of protecting once. [any]</param>
    /// <param name="loss">Loss when it comes and nothing was done. [same]</param>
    /// <returns>Expense. [same]; NaN without cases.</returns>
    /// <remarks>[Richardson2000] eq. 1.</remarks>
    public static double MeanExpense(WarningRecord record, double cost, double loss) =>
        record.Cases == 0
            ? double.NaN
            : (((record.Hits + record.FalseAlarms) * cost) + (record.Misses * loss)) / record.Cases;

    /// <summary>Value of following warnings: 1 like a perfect forecast, 0 like always or never protecting, negative worse than either.</summary>
    /// <param name="baseRateFrac">How often it comes, s. [-], above 0 and below 1.</param>
    /// <param name="hitRateFrac">Hit rate H. [-], 0 to 1.</param>
    /// <param name="falseAlarmRateFrac">False alarm rate F. [-], 0 to 1.</param>
    /// <param name="costLossFrac">Cost over loss, a. [-], above 0 and below 1.</param>
    /// <returns>Value. [-], at most 1; NaN where an input is out of range.</returns>
    /// <remarks><c>V = [min(a,s) - F a (1-s) + H s (1-a) - s] / [min(a,s) - s a]</c>, [Richardson2000] eq. 8; greatest at a = s, where it is H - F.</remarks>
    public static double ValueFrac(double baseRateFrac, double hitRateFrac, double falseAlarmRateFrac, double costLossFrac)
    {
        bool valid = baseRateFrac is > 0 and < 1 && costLossFrac is > 0 and < 1
            && hitRateFrac is >= 0 and <= 1 && falseAlarmRateFrac is >= 0 and <= 1;
        if (!valid)
        {
            return double.NaN;
        }

        double s = baseRateFrac;
        double a = costLossFrac;
        double without = Math.Min(a, s);
        return (without - (falseAlarmRateFrac * a * (1 - s)) + (hitRateFrac * s * (1 - a)) - s) / (without - (s * a));
    }
}

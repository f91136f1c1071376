using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Response;
using NodaTime;

namespace GraftWatch.Aftercare.Healing;

/// <summary>How fast unions of one exposure and one healing curve heal, hour by hour; shared by all grafts like that.</summary>
/// <remarks>
/// The rate is read from the species' curve at the hour's cambium temperature and added up. Because the curve bends, this is
/// done hourly and never on a daily mean: a sunny union at 35 °C heals slower than its mean temperature says.
/// Hours without a temperature, hours before the weather begins and hours after it ends run at the mean rate of the nearest days.
/// </remarks>
internal sealed class HealingPath
{
    private readonly double[] sums;
    private readonly Instant start;

    private HealingPath(double[] sums, Instant start, double rateBefore, double rateAfter, int unknownHours)
    {
        this.sums = sums;
        this.start = start;
        RateBefore = rateBefore;
        RateAfter = rateAfter;
        UnknownHours = unknownHours;
    }

    /// <summary>Rate taken for hours before the weather begins. [-]</summary>
    internal double RateBefore { get; }

    /// <summary>Rate taken for hours after the weather ends. [-]</summary>
    internal double RateAfter { get; }

    /// <summary>Hours on the grid without a temperature. [-]</summary>
    internal int UnknownHours { get; }

    /// <summary>Whether at least one hour was known.</summary>
    internal bool IsKnown => UnknownHours < sums.Length - 1;

    /// <summary>Adds up the rates.</summary>
    /// <param name="cambiumC">Cambium temperatures of the grid. [°C]; NaN where unknown.</param>
    /// <param name="climate">The place's grid.</param>
    /// <param name="curve">The species' curve.</param>
    /// <param name="recentDays">Days whose mean rate stands in for unknown ones. [d]</param>
    /// <param name="rateUnknown">Rate where nothing is known at all. [-]</param>
    internal static HealingPath Of(ReadOnlySpan<double> cambiumC, PlaceClimate climate, HealingCurve curve, double recentDays, double rateUnknown)
    {
        double[] rates = Rates(cambiumC, curve);
        int span = Math.Max(24, (int)(recentDays * 24));
        int ahead = Math.Clamp(climate.NowIndex + 1, 1, rates.Length);
        double before = Mean(rates.AsSpan(0, Math.Min(span, rates.Length)), rateUnknown);
        double recent = Mean(rates.AsSpan(Math.Max(0, ahead - span), ahead - Math.Max(0, ahead - span)), before);
        var sums = new double[rates.Length + 1];
        int unknown = 0;
        for (int i = 0; i < rates.Length; i++)
        {
            bool known = !double.IsNaN(rates[i]);
            unknown += known ? 0 : 1;
            sums[i + 1] = sums[i] + ((known ? rates[i] : i < ahead ? before : recent) / 24);
        }

        double after = Mean(rates.AsSpan(Math.Max(0, rates.Length - span)), recent);
        return new HealingPath(sums, climate.Weather.FirstHourEnd - Duration.FromHours(1), before, after, unknown);
    }

    /// <summary>The rate of each hour. [-], NaN where the temperature is NaN.</summary>
    internal static double[] Rates(ReadOnlySpan<double> cambiumC, HealingCurve curve)
    {
        var table = new PiecewiseLinear([.. curve.TemperaturesC], [.. curve.Rates]);
        double lowest = curve.TemperaturesC[0];
        double highest = curve.TemperaturesC[^1];
        var rates = new double[cambiumC.Length];
        for (int i = 0; i < rates.Length; i++)
        {
            double at = cambiumC[i];
            rates[i] = double.IsNaN(at) ? double.NaN : at < lowest || at > highest ? 0 : table.Value(at);
        }

        return rates;
    }

    /// <summary>Healing between two instants. [optimum-days]</summary>
    internal double Between(Instant from, Instant to) => Sum(to) - Sum(from);

    /// <summary>When healing since an instant reaches an amount; null when it lies further ahead than can be said.</summary>
    /// <param name="from">Where counting starts.</param>
    /// <param name="amount">Wanted healing. [optimum-days]</param>
    /// <param name="pace">Multiplies the rate after the weather ends.</param>
    /// <param name="furthestDays">Days after the weather ends beyond which nothing is said. [d]</param>
    internal Instant? Reaches(Instant from, double amount, double pace, double furthestDays = 400)
    {
        double goal = Sum(from) + amount;
        if (goal <= sums[^1])
        {
            int at = Array.BinarySearch(sums, goal);
            at = at >= 0 ? at : ~at;
            return goal <= 0 ? start + Duration.FromDays(RateBefore > 0 ? goal / RateBefore : 0) : start + Duration.FromHours(at);
        }

        double rate = RateAfter * pace;
        double days = (goal - sums[^1]) / rate;
        return rate > 0 && days <= furthestDays ? start + Duration.FromHours(sums.Length - 1) + Duration.FromDays(days) : null;
    }

    private double Sum(Instant at)
    {
        double hours = (at - start).TotalHours;
        int last = sums.Length - 1;
        if (hours <= 0)
        {
            return hours / 24 * RateBefore;
        }

        if (hours >= last)
        {
            return sums[last] + ((hours - last) / 24 * RateAfter);
        }

        int whole = (int)hours;
        return sums[whole] + ((hours - whole) * (sums[whole + 1] - sums[whole]));
    }

    private static double Mean(ReadOnlySpan<double> rates, double whenNone)
    {
        double sum = 0;
        int count = 0;
        foreach (double rate in rates)
        {
            if (!double.IsNaN(rate))
            {
                sum += rate;
                count++;
            }
        }

        return count == 0 ? whenNone : sum / count;
    }
}

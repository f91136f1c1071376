namespace GraftWatch.Microclimate.Frost;

/// <summary>How the air cools on a clear calm night, between a known evening and an expected minimum.</summary>
public static class CoolingCurve
{
    /// <summary>Air temperature within the night.</summary>
    /// <param name="eveningC">Air temperature two hours after sunset. [°C]</param>
    /// <param name="minimumC">Expected minimum at sunrise. [°C]</param>
    /// <param name="hoursFromEvening">Time since two hours after sunset. [h], 0 to <paramref name="nightHours"/>.</param>
    /// <param name="nightHours">Time from two hours after sunset to sunrise. [h], above 0.</param>
    /// <returns>Air temperature. [°C]; NaN outside the night or where an input is NaN.</returns>
    /// <remarks><c>T0 + (Tmin - T0) √(h/n)</c>, [Snyder2005] ch. 5.</remarks>
    public static double AirC(double eveningC, double minimumC, double hoursFromEvening, double nightHours) =>
        nightHours > 0 && hoursFromEvening >= 0 && hoursFromEvening <= nightHours
            ? eveningC + ((minimumC - eveningC) * Math.Sqrt(hoursFromEvening / nightHours))
            : double.NaN;

    /// <summary>When the air falls to a temperature.</summary>
    /// <param name="eveningC">Air temperature two hours after sunset. [°C]</param>
    /// <param name="minimumC">Expected minimum at sunrise. [°C]</param>
    /// <param name="criticalC">Temperature asked for. [°C]</param>
    /// <param name="nightHours">Time from two hours after sunset to sunrise. [h], above 0.</param>
    /// <returns>Hours from two hours after sunset; 0 where the evening is already there, positive infinity where the night does not reach it; NaN where an input is NaN. [h]</returns>
    /// <remarks>The inverse of <see cref="AirC"/>, [Snyder2005] ch. 5.</remarks>
    public static double HoursUntil(double eveningC, double minimumC, double criticalC, double nightHours)
    {
        if (double.IsNaN(eveningC) || double.IsNaN(minimumC) || double.IsNaN(criticalC) || !(nightHours > 0))
        {
            return double.NaN;
        }

        if (eveningC <= criticalC)
        {
            return 0;
        }

        if (minimumC > criticalC)
        {
            return double.PositiveInfinity;
        }

        double share = (eveningC - criticalC) / (eveningC - minimumC);
        return nightHours * share * share;
    }
}

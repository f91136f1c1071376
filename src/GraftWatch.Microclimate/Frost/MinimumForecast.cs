using GraftWatch.Microclimate.Response;

namespace GraftWatch.Microclimate.Frost;

/// <summary>The next morning's minimum from the evening: a regression fitted on a place's own clear calm frost nights.</summary>
/// <param name="AirSlope">Change of the minimum with evening air temperature, <c>a</c>. [-]</param>
/// <param name="AirInterceptC">Intercept of the first step, <c>w</c>. [°C]</param>
/// <param name="DewSlope">Change of what is left with evening dew point, <c>b</c>; 0 where no dew point was given. [-]</param>
/// <param name="DewInterceptK">Intercept of the second step. [K]</param>
/// <param name="RootMeanSquareK">Root mean square error over the nights it was fitted on; new nights do worse. [K]</param>
/// <param name="Nights">Nights it was fitted on. [-]</param>
public readonly record struct MinimumForecast(
    double AirSlope,
    double AirInterceptC,
    double DewSlope,
    double DewInterceptK,
    double RootMeanSquareK,
    int Nights)
{
    /// <summary>Fewest nights a fit is made from. [-], engineering choice; the handbook asks for at least ten.</summary>
    public const int FewestNights = 5;

    /// <summary>Fits the two steps.</summary>
    /// <param name="eveningAirC">Air temperature two hours after sunset, one per night. [°C]</param>
    /// <param name="eveningDewPointC">Dew point at the same time; empty to leave the second step out. [°C]</param>
    /// <param name="minimumC">Minimum of the following morning. [°C]</param>
    /// <returns>The fit; null with fewer than <see cref="FewestNights"/> complete nights or evenings all alike. Nights with a NaN are left out.</returns>
    /// <remarks>
    /// [Snyder2005] ch. 5: first the minimum on air temperature, then the residual on dew point. Two single
    /// regressions, not one with two variables: that would give other coefficients.
    /// </remarks>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public static MinimumForecast? Fit(
        ReadOnlySpan<double> eveningAirC,
        ReadOnlySpan<double> eveningDewPointC,
        ReadOnlySpan<double> minimumC)
    {
        int n = minimumC.Length;
        SpanLengths.RequireEqual(n, eveningAirC.Length, nameof(eveningAirC));
        bool withDew = eveningDewPointC.Length > 0;
        if (withDew)
        {
            SpanLengths.RequireEqual(n, eveningDewPointC.Length, nameof(eveningDewPointC));
        }

        var air = new Regression();
        for (int i = 0; i < n; i++)
        {
            if (IsComplete(eveningAirC, eveningDewPointC, minimumC, i))
            {
                air.Add(eveningAirC[i], minimumC[i]);
            }
        }

        if (air.Count < FewestNights || !double.IsFinite(air.Slope))
        {
            return null;
        }

        var dew = new Regression();
        for (int i = 0; withDew && i < n; i++)
        {
            if (IsComplete(eveningAirC, eveningDewPointC, minimumC, i))
            {
                dew.Add(eveningDewPointC[i], minimumC[i] - air.At(eveningAirC[i]));
            }
        }

        bool dewTells = dew.Count > 0 && double.IsFinite(dew.Slope);
        var fit = new MinimumForecast(air.Slope, air.Intercept, dewTells ? dew.Slope : 0, dewTells ? dew.Intercept : 0, double.NaN, air.Count);
        return fit with { RootMeanSquareK = fit.ErrorOver(eveningAirC, eveningDewPointC, minimumC) };
    }

    /// <summary>Estimate for one night. Meant for clear, calm (under 2 m/s), dry nights only, see <see cref="RadiationNight"/>.</summary>
    /// <param name="eveningAirC">Air temperature two hours after sunset. [°C]</param>
    /// <param name="eveningDewPointC">Dew point at the same time; not read where the fit has no second step. [°C]</param>
    /// <returns>Minimum of the following morning. [°C]; NaN where an input is NaN.</returns>
    /// <remarks>[Snyder2005] ch. 5.</remarks>
    public double PredictC(double eveningAirC, double eveningDewPointC) =>
        (AirSlope * eveningAirC) + AirInterceptC + DewInterceptK + (DewSlope == 0 ? 0 : DewSlope * eveningDewPointC);

    private static bool IsComplete(ReadOnlySpan<double> airC, ReadOnlySpan<double> dewPointC, ReadOnlySpan<double> minimumC, int i) =>
        double.IsFinite(airC[i]) && double.IsFinite(minimumC[i]) && (dewPointC.Length == 0 || double.IsFinite(dewPointC[i]));

    private double ErrorOver(ReadOnlySpan<double> airC, ReadOnlySpan<double> dewPointC, ReadOnlySpan<double> minimumC)
    {
        double squares = 0;
        for (int i = 0; i < minimumC.Length; i++)
        {
            if (IsComplete(airC, dewPointC, minimumC, i))
            {
                double missK = minimumC[i] - PredictC(airC[i], dewPointC.Length == 0 ? 0 : dewPointC[i]);
                squares += missK * missK;
            }
        }

        return Math.Sqrt(squares / Nights);
    }

    /// <summary>A running straight-line fit by least squares, stable under an offset of either axis.</summary>
    private struct Regression
    {
        private double meanX;
        private double meanY;
        private double xx;
        private double xy;

        public int Count { get; private set; }

        public readonly double Slope => xy / xx;

        public readonly double Intercept => meanY - (Slope * meanX);

        public readonly double At(double x) => Intercept + (Slope * x);

        public void Add(double x, double y)
        {
            Count++;
            double fromMeanX = x - meanX;
            meanX += fromMeanX / Count;
            meanY += (y - meanY) / Count;
            xx += fromMeanX * (x - meanX);
            xy += fromMeanX * (y - meanY);
        }
    }
}

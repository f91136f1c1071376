using GraftWatch.Microclimate.Frost;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Frost;

public class FrostVectorTests
{
    // [Snyder2005] ch. 5: the handbook's ten nights.
    internal static readonly double[] EveningC = [3.2, 0.8, 0.2, 2.6, 4.4, 5.2, 2.7, 1.2, 4.5, 5.6];
    internal static readonly double[] DewPointC = [-4.2, -8.8, -6.5, -6.2, -6.1, 2.6, -0.7, -1.7, -1.2, 0.1];
    internal static readonly double[] MinimumC = [-3.1, -5, -6.3, -5.4, -4, -2.5, -4.8, -5, -4.4, -3.3];

    [Fact]
    public void Handbook_nights_give_the_handbook_forecast()
    {
        VectorRow row = Assert.Single(VectorFile.Load("Frost/minimum-forecast.csv").Rows);
        MinimumForecast fit = Assert.NotNull(MinimumForecast.Fit(EveningC, DewPointC, MinimumC));
        row.Check("airSlope", fit.AirSlope);
        row.Check("airInterceptC", fit.AirInterceptC);
        row.Check("dewSlope", fit.DewSlope);
        row.Check("interceptsC", fit.AirInterceptC + fit.DewInterceptK);
        row.Check("forecastC", fit.PredictC(row["eveningC"], row["dewPointC"]));
        Assert.Equal(0.631, fit.RootMeanSquareK, 3);
        Assert.Equal(10, fit.Nights);
    }

    [Fact]
    public void Two_steps_are_not_a_joint_regression()
    {
        // Ordinary least squares on both at once gives -1.029 for the same evening, which is the usual mistake.
        MinimumForecast fit = Assert.NotNull(MinimumForecast.Fit(EveningC, DewPointC, MinimumC));
        Assert.True(Math.Abs(fit.PredictC(10, 2) - -1.029) > 0.2);
    }

    [Fact]
    public void Cooling_follows_the_square_root_of_time()
    {
        foreach (VectorRow row in VectorFile.Load("Frost/cooling-curve.regression.csv").Rows)
        {
            row.Check("airC", CoolingCurve.AirC(row["eveningC"], row["minimumC"], row["hours"], row["nightH"]));
        }
    }
}

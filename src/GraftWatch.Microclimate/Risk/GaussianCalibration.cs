namespace GraftWatch.Microclimate.Risk;

/// <summary>A forecast's mean and spread turned into a calibrated normal distribution.</summary>
/// <param name="Bias">Added to the scaled mean, <c>a</c>. [unit of the quantity]</param>
/// <param name="MeanSlope">Scale of the mean, <c>b</c>. [-]; 1 with little history.</param>
/// <param name="BaseVariance">Variance that does not depend on the spread, <c>c</c>. [unit²], 0 or more.</param>
/// <param name="SpreadSlope">Scale of the ensemble's variance, <c>d</c>. [-], 0 or more; 1 with little history.</param>
/// <remarks>Non-homogeneous Gaussian regression [Gneiting2005] eq. 2: mean <c>a + b m</c>, variance <c>c + d s²</c>.</remarks>
public readonly record struct GaussianCalibration(double Bias, double MeanSlope, double BaseVariance, double SpreadSlope)
{
    /// <summary>Error of a frost minimum at a place whose offset is learned. [K], standard deviation, engineering default.</summary>
    public const double DefaultPlaceErrorK = 1.5;

    /// <summary>A calibration that learns only the bias and adds the place's own error.</summary>
    /// <param name="bias">Truth minus forecast, on average. [unit of the quantity]</param>
    /// <param name="placeError">Standard deviation of what the forecast cannot know of the place. [unit of the quantity], 0 or more.</param>
    /// <returns>The calibration, mean and spread unscaled.</returns>
    /// <remarks>Few nights cannot teach four numbers; [Gneiting2005] trains on forty days and many stations.</remarks>
    public static GaussianCalibration OfBias(double bias, double placeError) => new(bias, 1, placeError * placeError, 1);

    /// <summary>Spread to assume where a source gives a single forecast.</summary>
    /// <param name="leadDays">Days ahead. [d], 0 or more; anything up to 1 counts as 1.</param>
    /// <returns>Standard deviation of temperature. [K]; NaN where the input is NaN.</returns>
    /// <remarks>1.0 K on the first day, growing by 0.35 K a day; engineering default, no source.</remarks>
    public static double DefaultSpreadK(double leadDays) => 1.0 + (0.35 * (Math.Max(leadDays, 1) - 1));

    /// <summary>Probability of a value at or below a threshold.</summary>
    /// <param name="threshold">Threshold. [unit of the quantity]</param>
    /// <param name="mean">Mean of the ensemble, or the single forecast. [unit of the quantity]</param>
    /// <param name="spread">Standard deviation of the ensemble. [unit of the quantity], 0 or more.</param>
    /// <returns>Probability. [-]; without any variance 0 or 1; NaN where an input is NaN or a variance negative.</returns>
    /// <remarks><c>Φ((threshold - a - b m)/√(c + d s²))</c>, [Gneiting2005] eq. 4.</remarks>
    public double ProbabilityAtOrBelowFrac(double threshold, double mean, double spread)
    {
        double missed = threshold - Bias - (MeanSlope * mean);
        double sigma = Sigma(spread);
        return sigma == 0 && !double.IsNaN(missed) ? (missed >= 0 ? 1 : 0) : NormalDistribution.CumulativeFrac(missed / sigma);
    }

    /// <summary>Probability of a value above a threshold.</summary>
    /// <param name="threshold">Threshold. [unit of the quantity]</param>
    /// <param name="mean">Mean of the ensemble, or the single forecast. [unit of the quantity]</param>
    /// <param name="spread">Standard deviation of the ensemble. [unit of the quantity], 0 or more.</param>
    /// <returns>Probability. [-]; NaN as in <see cref="ProbabilityAtOrBelowFrac"/>.</returns>
    /// <remarks>One minus <see cref="ProbabilityAtOrBelowFrac"/>, without losing small tails; [Gneiting2005] eq. 4.</remarks>
    public double ProbabilityAboveFrac(double threshold, double mean, double spread)
    {
        double missed = Bias + (MeanSlope * mean) - threshold;
        double sigma = Sigma(spread);
        return sigma == 0 && !double.IsNaN(missed) ? (missed > 0 ? 1 : 0) : NormalDistribution.CumulativeFrac(missed / sigma);
    }

    /// <summary>Standard deviation after calibration; NaN where the variance is negative.</summary>
    private double Sigma(double spread) => Math.Sqrt(BaseVariance + (SpreadSlope * spread * spread));
}

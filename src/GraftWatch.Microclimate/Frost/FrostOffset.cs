namespace GraftWatch.Microclimate.Frost;

/// <summary>How much colder a place is than its forecast on clear calm nights, learned from the place's own thermometer.</summary>
/// <param name="OffsetK">Estimate to use: median drawn towards no offset. [K], negative where the place is colder; 0 with too few nights.</param>
/// <param name="MedianK">Plain median of the nights. [K]; NaN without nights.</param>
/// <param name="SpreadK">Robust standard deviation of single nights about the median. [K]; NaN without nights.</param>
/// <param name="Nights">Nights with both values. [-]</param>
public readonly record struct FrostOffset(double OffsetK, double MedianK, double SpreadK, int Nights)
{
    /// <summary>Fewest nights an offset is learned from. [-], engineering choice.</summary>
    public const int FewestNights = 5;

    /// <summary>How far places differ from their forecast before anything is known. [K], standard deviation, engineering default.</summary>
    public const double DefaultPlaceSpreadK = 1.5;

    /// <summary>Smallest spread of nights believed. [K]; a thermometer and a forecast cell never agree better.</summary>
    public const double SmallestSpreadK = 0.5;

    /// <summary>Whether there were nights enough.</summary>
    public bool IsLearned => Nights >= FewestNights;

    /// <summary>Estimates the offset.</summary>
    /// <param name="stationMinusForecastK">Measured minus forecast minimum, one per clear calm night, see <see cref="RadiationNight"/>. [K]; NaN nights are left out.</param>
    /// <param name="placeSpreadK">How far places differ before anything is known. [K], above 0, default <see cref="DefaultPlaceSpreadK"/>.</param>
    /// <returns>The estimate.</returns>
    /// <remarks>
    /// Median, so that a wrong night does no harm; spread as 1.4826 times the median absolute deviation. The median is drawn towards
    /// 0 by <c>τ² / (τ² + (π/2) s²/n)</c>: prior variance against the variance of a median of n nights, [Huber1981]. Few or
    /// scattered nights move the forecast little.
    /// </remarks>
    /// <exception cref="ArgumentException">The prior spread is not positive.</exception>
    public static FrostOffset Estimate(ReadOnlySpan<double> stationMinusForecastK, double placeSpreadK = DefaultPlaceSpreadK)
    {
        if (!(placeSpreadK > 0))
        {
            throw new ArgumentException("The spread between places must be positive.", nameof(placeSpreadK));
        }

        double[] nights = stationMinusForecastK.ToArray();
        nights = Array.FindAll(nights, double.IsFinite);
        if (nights.Length == 0)
        {
            return new FrostOffset(0, double.NaN, double.NaN, 0);
        }

        double median = Median(nights);
        double spread = 1.4826 * Median(Array.ConvertAll(nights, night => Math.Abs(night - median)));
        double believed = Math.Max(spread, SmallestSpreadK);
        double prior = placeSpreadK * placeSpreadK;
        double share = prior / (prior + (Math.PI / 2 * believed * believed / nights.Length));
        return new FrostOffset(nights.Length >= FewestNights ? share * median : 0, median, spread, nights.Length);
    }

    private static double Median(double[] values)
    {
        Array.Sort(values);
        int half = values.Length / 2;
        return values.Length % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
    }
}

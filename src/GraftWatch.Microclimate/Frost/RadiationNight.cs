namespace GraftWatch.Microclimate.Frost;

/// <summary>Which nights lose heat to a clear sky under calm air, so that a hollow can lie colder than the forecast.</summary>
public static class RadiationNight
{
    /// <summary>Mean wind at which a night still counts as calm. [m/s], [Snyder2005] ch. 5.</summary>
    public const double CalmWindMPerS = 2;

    /// <summary>Mean cloud cover at which a night still counts as clear. [-], engineering choice.</summary>
    public const double ClearCloudFrac = 0.3;

    /// <summary>Whether a night counts.</summary>
    /// <param name="meanWindMPerS">Mean wind over the night. [m/s]</param>
    /// <param name="meanCloudFrac">Mean cloud cover over the night. [-], 0 to 1.</param>
    /// <param name="rainMm">Rain over the night. [mm]</param>
    /// <returns>True for a clear, calm, dry night; null where an input is NaN, for then it is not known.</returns>
    /// <remarks>[Snyder2005] ch. 5: no wind above 2 m/s, cloud, fog or rain.</remarks>
    public static bool? Is(double meanWindMPerS, double meanCloudFrac, double rainMm) =>
        double.IsNaN(meanWindMPerS) || double.IsNaN(meanCloudFrac) || double.IsNaN(rainMm)
            ? null
            : meanWindMPerS <= CalmWindMPerS && meanCloudFrac <= ClearCloudFrac && rainMm <= 0;
}

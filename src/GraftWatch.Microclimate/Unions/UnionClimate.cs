namespace GraftWatch.Microclimate.Unions;

/// <summary>Computes the climate at a union.</summary>
public static class UnionClimate
{
    /// <summary>Computes every hour of one exposure.</summary>
    /// <param name="sky">What the unions of the place share.</param>
    /// <param name="exposure">How this union meets the weather.</param>
    /// <returns>Arrays of the same length as <paramref name="sky"/>.</returns>
    public static UnionHours Compute(SkyHours sky, UnionExposure exposure)
    {
        var hours = new UnionHours(sky.Hours);
        UnionClimateSteps.Fill(sky, exposure, hours);
        return hours;
    }
}

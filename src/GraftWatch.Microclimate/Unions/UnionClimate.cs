namespace GraftWatch.Microclimate.Unions;

/// <summary>Computes the climate at a union.</summary>
public static class UnionClimate
{
    /// <summary>Computes every hour of one exposure.</summary>
    /// <param name="sky">What the unions of the place share.</param>
    /// <param name="exposure">How this union meets the weather.</param>
    /// <returns>Arrays of the same length as <paramref name="sky"/>.</returns>
    /// <exception cref="ArgumentOutOfRangeException">A value of the exposure lies outside the range its property names.</exception>
    public static UnionHours Compute(SkyHours sky, UnionExposure exposure) => Compute(sky, [exposure])[0];

    /// <summary>Computes every hour of several exposures of one place; equal exposures and buds that feel the same air are computed once.</summary>
    /// <param name="sky">What the unions of the place share.</param>
    /// <param name="exposures">How the unions meet the weather.</param>
    /// <returns>One result an exposure, in the same order. Results may share arrays: read them, do not write to them.</returns>
    /// <exception cref="ArgumentOutOfRangeException">A value of an exposure lies outside the range its property names.</exception>
    public static IReadOnlyList<UnionHours> Compute(SkyHours sky, IReadOnlyList<UnionExposure> exposures)
    {
        var results = new UnionHours[exposures.Count];
        var done = new Dictionary<UnionExposure, UnionHours>(exposures.Count);
        var buds = new Dictionary<BudExposure, double[]>();
        for (int i = 0; i < results.Length; i++)
        {
            UnionExposure exposure = exposures[i];
            if (!done.TryGetValue(exposure, out UnionHours? hours))
            {
                var bud = BudExposure.Of(exposure);
                bool known = buds.TryGetValue(bud, out double[]? budC);
                hours = new UnionHours(sky.Hours, budC ?? new double[sky.Hours]);
                UnionClimateSteps.Fill(sky, exposure, hours);
                if (!known)
                {
                    BudSteps.Fill(sky, bud, hours.BudC);
                    buds.Add(bud, hours.BudC);
                }

                done.Add(exposure, hours);
            }

            results[i] = hours;
        }

        return results;
    }
}

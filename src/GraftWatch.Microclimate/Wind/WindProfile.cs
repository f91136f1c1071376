namespace GraftWatch.Microclimate.Wind;

/// <summary>Wind at a height from wind at 10 m.</summary>
public static class WindProfile
{
    /// <summary>Share of the 10 m wind at a height: neutral logarithmic profile over a rough surface. [Wmo2018] part I ch. 5.</summary>
    /// <remarks>
    /// The law has no meaning within the roughness itself; below three roughness lengths the share falls linearly to 0 at the
    /// ground (engineering choice, no source).
    /// </remarks>
    /// <param name="heightM">Height above the ground. [m], 0 to 100.</param>
    /// <param name="roughnessM">Roughness length. [m], 0.0002 (water) to 2 (forest).</param>
    /// <returns>Share. [-], 1 at 10 m; NaN when an argument is NaN.</returns>
    public static double Ratio(double heightM, double roughnessM)
    {
        double lowestM = 3 * roughnessM;
        double usedM = Math.Max(heightM, lowestM);
        double ratio = Math.Log(usedM / roughnessM) / Math.Log(10 / roughnessM);
        return heightM < lowestM ? ratio * Math.Max(0, heightM) / lowestM : ratio;
    }
}

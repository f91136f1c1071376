namespace GraftWatch.Microclimate.Unions;

/// <summary>What shade cloths that stand off the stem change of its surroundings; several multiply.</summary>
/// <param name="LightFrac">Share of all light that passes. [-]</param>
/// <param name="SkyFrac">Share of the sky's thermal infrared that passes; the rest comes from cloth at air temperature. [-]</param>
/// <param name="WindFrac">Share of the wind that passes. [-]</param>
internal readonly record struct ShadeCloth(double LightFrac, double SkyFrac, double WindFrac)
{
    /// <summary>Share of the sky a cloth of nominal shade 1 hides in the infrared. [-] Within the nets measured by [AbdelGhany2014].</summary>
    private const double InfraredPerShade = 0.6;

    /// <summary>Collects the cloths among the covers.</summary>
    internal static ShadeCloth Of(IReadOnlyList<CoverLayer> covers)
    {
        var cloth = new ShadeCloth(1, 1, 1);
        foreach (CoverLayer layer in covers)
        {
            if (layer.ShadeFrac > 0)
            {
                cloth = new ShadeCloth(
                    cloth.LightFrac * (1 - layer.ShadeFrac),
                    cloth.SkyFrac * (1 - (InfraredPerShade * layer.ShadeFrac)),
                    cloth.WindFrac * WindThrough(layer.ShadeFrac));
            }
        }

        return cloth;
    }

    /// <summary>0.8 of the wind at 30 % shade, 0.5 at 70 % (engineering choice, no source), linear between and beyond.</summary>
    private static double WindThrough(double shadeFrac) =>
        shadeFrac <= 0.3 ? 1 - (0.2 * shadeFrac / 0.3) : 0.8 - (0.3 * (shadeFrac - 0.3) / 0.4);
}

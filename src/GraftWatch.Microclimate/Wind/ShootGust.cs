using GraftWatch.Microclimate.Sites;

namespace GraftWatch.Microclimate.Wind;

/// <summary>The share of the wind at 10 m that a shoot feels.</summary>
public static class ShootGust
{
    /// <summary>Share of a 10 m gust at the middle of a shoot: neutral profile times the place's shelter.</summary>
    /// <param name="site">The place: roughness and shelter.</param>
    /// <param name="unionHeightM">Height of the union above the ground. [m], 0.02 to 15.</param>
    /// <param name="shootLengthM">Length of the shoot above it. [m], 0 or more.</param>
    /// <returns>Share. [-]; NaN where an input is NaN.</returns>
    /// <remarks>Gusts are scaled like the mean wind, <see cref="WindProfile"/>; near the ground this errs on the low side, because gustiness grows there [WieringaRijkoort1983].</remarks>
    public static double ShareFrac(Site site, double unionHeightM, double shootLengthM) =>
        WindProfile.Ratio(unionHeightM + (0.5 * shootLengthM), site.RoughnessM) * site.ShelterWindFrac;
}

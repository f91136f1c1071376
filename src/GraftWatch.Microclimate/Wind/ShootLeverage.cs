namespace GraftWatch.Microclimate.Wind;

/// <summary>How much of the wind's pull on a shoot becomes a bending moment at its union.</summary>
public static class ShootLeverage
{
    /// <summary>Share of the free moment that still reaches a staked union. [-], engineering default: a stake doubles the gust a union stands, which is a quarter of the moment; common practice, no source.</summary>
    public const double StakedShareFrac = 0.25;

    /// <summary>Lever arm of the whole drag force about the union.</summary>
    /// <param name="lengthM">Length of the shoot above the union. [m], 0 or more.</param>
    /// <param name="support">What holds it.</param>
    /// <param name="tieHeightM">Distance of the tie above the union along the shoot. [m], 0 to <paramref name="lengthM"/>; read only when tied. NaN takes two thirds of the length, the best place.</param>
    /// <returns>Lever arm: moment = force × arm. [m]; NaN where the length is NaN, or the tie lies outside the shoot.</returns>
    /// <remarks>
    /// The pull is spread evenly over the shoot. Free: the arm is half the length, <c>M = wL²/2</c>. Tied at t: the part below the
    /// tie is a beam built in at the union and propped at the tie, <c>wt²/8</c>; of the part beyond it, <c>w(L-t)²/2</c> at the tie,
    /// half is carried over to the union [Young2002] table 8.1. On an ideal beam the two have opposite signs; gusts do not load both parts in
    /// phase, so their sizes are added and the relief is not counted. Staked: <see cref="StakedShareFrac"/> of the free arm.
    /// </remarks>
    public static double ArmM(double lengthM, ShootSupport support, double tieHeightM = double.NaN)
    {
        double freeM = 0.5 * lengthM;
        switch (support)
        {
            case ShootSupport.Free:
                return freeM;
            case ShootSupport.Staked:
                return StakedShareFrac * freeM;
            case ShootSupport.Tied:
                double t = double.IsNaN(tieHeightM) ? lengthM * (2.0 / 3.0) : tieHeightM;
                if (!(t >= 0 && t <= lengthM))
                {
                    return double.NaN;
                }

                double beyondM = lengthM - t;
                return lengthM == 0 ? 0 : ((t * t / 8) + (beyondM * beyondM / 4)) / lengthM;
            default:
                throw new ArgumentOutOfRangeException(nameof(support), support, "Unknown support.");
        }
    }
}

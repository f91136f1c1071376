namespace GraftWatch.Microclimate.Wind;

/// <summary>A rule of thumb for the gust a grafted shoot stands, as a second opinion to <see cref="ShootLoad"/>.</summary>
public static class GustLimit
{
    /// <summary>Gust at which young kiwifruit shoots were torn from their base in turbulent wind. [m/s], [Kang2007].</summary>
    public const double TornShootMPerS = 19;

    /// <summary>The strongest gust a shoot is expected to stand.</summary>
    /// <param name="strengthFrac">Strength of the union. [-], 0 to 1, see <see cref="UnionStrength"/>.</param>
    /// <param name="shootLengthM">Length of the shoot. [m], above 0.</param>
    /// <param name="tieIntact">Whether the union's own tie still holds it: × 1.4.</param>
    /// <param name="staked">Whether the shoot is staked: × 2.</param>
    /// <returns>Gust at the shoot. [m/s], 6 to 20; NaN where an input is NaN or out of range.</returns>
    /// <remarks>
    /// <c>v = 19 √strength √(0.20/L)</c>, the factors, then the limits 6 and 20 m/s. 19 m/s is the mean threshold of the wind-tunnel
    /// study [Kang2007]; roots, factors and limits are common practice, no source.
    /// </remarks>
    public static double MPerS(double strengthFrac, double shootLengthM, bool tieIntact, bool staked)
    {
        if (!(strengthFrac is >= 0 and <= 1) || !(shootLengthM > 0))
        {
            return double.NaN;
        }

        double limit = TornShootMPerS * Math.Sqrt(strengthFrac * 0.20 / shootLengthM);
        limit *= tieIntact ? 1.4 : 1;
        limit *= staked ? 2 : 1;
        return Math.Clamp(limit, 6, 20);
    }
}
